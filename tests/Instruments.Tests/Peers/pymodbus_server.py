"""A Modbus server made with pymodbus 3.0, for tests: input register n holds n, discrete input n is set when n is odd.

No parity: a pseudo-terminal carries none, and pyserial is refused when it asks one for it.

Usage: pymodbus_server.py tcp PORT | rtu-tcp PORT | rtu DEVICE BAUD | ascii DEVICE BAUD
"""
import asyncio
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.device import ModbusDeviceIdentification
from pymodbus.server import StartAsyncSerialServer, StartAsyncTcpServer
from pymodbus.transaction import ModbusAsciiFramer, ModbusRtuFramer, ModbusSocketFramer

UNIT = 17
COUNT = 200


def tables():
    """The four tables, addresses counted from 0."""
    return ModbusServerContext(
        slaves={
            UNIT: ModbusSlaveContext(
                co=ModbusSequentialDataBlock(0, [0] * COUNT),
                di=ModbusSequentialDataBlock(0, [k & 1 for k in range(COUNT)]),
                hr=ModbusSequentialDataBlock(0, [0] * COUNT),
                ir=ModbusSequentialDataBlock(0, list(range(COUNT))),
                zero_mode=True,
            )
        },
        single=False,
    )


async def main(kind, where, baud="19200"):
    identity = ModbusDeviceIdentification(
        info_name={"VendorName": "Some maker", "ProductCode": "EB-8", "MajorMinorRevision": "1.2"}
    )
    common = {"context": tables(), "identity": identity}
    if kind in ("tcp", "rtu-tcp"):
        framer = ModbusSocketFramer if kind == "tcp" else ModbusRtuFramer
        server = await StartAsyncTcpServer(
            address=("127.0.0.1", int(where)), framer=framer, defer_start=True, **common
        )
    else:
        framer = ModbusRtuFramer if kind == "rtu" else ModbusAsciiFramer
        server = await StartAsyncSerialServer(
            port=where, baudrate=int(baud), framer=framer, defer_start=True, **common
        )
        await server.start()
        if server.transport is None:
            sys.exit(f"{where} did not open")
    serving = asyncio.ensure_future(server.serve_forever())
    if kind in ("tcp", "rtu-tcp"):
        # It listens only from here on.
        await server.serving
    print("ready", flush=True)
    await serving


asyncio.run(main(*sys.argv[1:]))
