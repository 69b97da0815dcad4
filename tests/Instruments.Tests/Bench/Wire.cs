using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>A client, its line and a device that holds its own addresses, joined in memory on one pump.</summary>
internal sealed class Wire
{
    public Wire(TimeProvider time, bool isTcp, bool? isHalfDuplex = null, bool isAscii = false)
    {
        Device = new OwnAddressDevice(time, isTcp, Some.Unit, isAscii);
        Line = new MemoryLine("some line", isHalfDuplex ?? !isTcp, time) { ToDevice = Device.Receive };
        Device.Answer = Line.Deliver;
        Framing =
            isTcp ? TcpFrame.Instance
            : isAscii ? AsciiFrame.Instance
            : RtuFrame.Instance;
        Exchange = new Exchange(Line, time, Framing.Rules(isTcp ? TimeSpan.Zero : Some.TurnAround, Some.Deadline));
        Client = new ModbusClient(Exchange, Framing, Some.Unit, Some.Deadline, time);
    }

    public OwnAddressDevice Device { get; }

    public MemoryLine Line { get; }

    public IModbusFraming Framing { get; }

    public Exchange Exchange { get; }

    public ModbusClient Client { get; }
}
