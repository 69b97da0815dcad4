using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>Makes what stands on the bench beside bank, meters and loggers.</summary>
internal static class AccessoryDevices
{
    /// <summary>Every kind.</summary>
    public static readonly string[] Kinds =
    [
        "power meter",
        "ac bank",
        "relays and setter",
        "temperature logger",
        "panel meter",
    ];

    /// <summary>The device of a world file's entry.</summary>
    public static SimulatedDevice Create(Plant plant, AccessoryWorld world, TimeProvider time, ulong seed)
    {
        var chance = new Chance(seed, world.Name);
        var timing = new TextTiming(time, world.TurnAroundMilliseconds);
        DeviceWires Wires(string protocol) => new(world.Name, protocol, world.UnitId, world.TurnAroundMilliseconds);
        return world.Kind switch
        {
            "power meter" => new TcpDevice(plant, Wires("modbus-tcp"), new PowerMeterMap(plant, world, chance), time),
            "ac bank" => new RtuDevice(plant, Wires("modbus-rtu"), new AcBankMap(plant, world, chance), time),
            "relays and setter" => new RtuDevice(plant, Wires("modbus-rtu"), new RelayMap(plant, world), time),
            "temperature logger" => new TextDevice(
                plant,
                world.Name,
                LoggerLines.Frame,
                new LoggerLines(plant, world, chance),
                timing
            ),
            _ => new TextDevice(
                plant,
                world.Name,
                PanelMeterLines.Frame,
                new PanelMeterLines(plant, world, chance),
                timing
            ),
        };
    }
}
