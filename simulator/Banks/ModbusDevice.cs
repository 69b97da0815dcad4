using LoadTest.Simulator.Accessories;
using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Banks;

/// <summary>Who a Modbus device is on its wire.</summary>
/// <param name="Name">Name in the world file.</param>
/// <param name="Protocol">Its framing.</param>
/// <param name="UnitId">Unit identifier.</param>
/// <param name="TurnAroundMilliseconds">Time between the end of a request and the start of the answer, ms.</param>
internal sealed record DeviceWires(string Name, string Protocol, int UnitId, double TurnAroundMilliseconds);

/// <summary>A Modbus device on a wire: the load bank, a logger; framings derive from it.</summary>
internal abstract class ModbusDevice : SimulatedDevice, IFaultyLine
{
    private readonly Plant _plant;
    private readonly BankServer _server;
    private readonly Outbox _outbox;
    private readonly Outbox _requests;
    private readonly byte[] _pdu = new byte[256];
    private bool _isServing;

    protected ModbusDevice(Plant plant, DeviceWires wires, IRegisterMap map, TimeProvider time)
        : base(wires.Name, wires.Protocol, (byte)wires.UnitId)
    {
        _plant = plant;
        _server = new BankServer(map);
        _outbox = new Outbox(time, bytes => Answer?.Invoke(bytes));
        _requests = new Outbox(time, Serve);
        TurnAround = TimeSpan.FromTicks((long)(wires.TurnAroundMilliseconds * 10_000));
    }

    public LineFaults Faults { get; } = new();

    protected TimeSpan TurnAround { get; }

    /// <summary>The unit an answer says it comes from: its own, unless a fault has it otherwise.</summary>
    protected byte AnswersAs => Faults.Takes(LineTrouble.WrongUnit) ? (byte)(UnitId % 247 + 1) : UnitId;

    protected long Now => _plant.Ticks;

    public override void Connected()
    {
        _outbox.Clear();
        _requests.Clear();
    }

    /// <summary>Lets everything due until now happen first.</summary>
    protected void CatchUp() => _plant.CatchUp();

    /// <summary>Whether it hears what was sent now; a slow device comes to it later, one request after the other.</summary>
    protected bool Hears(ReadOnlySpan<byte> bytes)
    {
        if (_isServing)
        {
            return true;
        }

        if (!Faults.Hears(bytes, _outbox))
        {
            return false;
        }

        if (Faults.Slowness == TimeSpan.Zero)
        {
            return true;
        }

        _requests.SendBehind(bytes.ToArray(), Faults.Slowness);
        return false;
    }

    /// <summary>Obeys a request; the reply without frame, valid until the next request.</summary>
    /// <param name="request">Function code and data.</param>
    /// <param name="arrival">How much longer the request takes on the wire.</param>
    protected ReadOnlySpan<byte> Obey(ReadOnlySpan<byte> request, TimeSpan arrival)
    {
        var length = _server.Answer(request, _pdu, _plant.Ticks + arrival.Ticks);
        return _pdu.AsSpan(0, length);
    }

    protected void Send(byte[] frame, TimeSpan after) => Faults.Send(_outbox, frame, after);

    protected override void Dispose(bool disposing)
    {
        _outbox.Dispose();
        _requests.Dispose();
    }

    private void Serve(ReadOnlyMemory<byte> bytes)
    {
        _isServing = true;
        Receive(bytes.Span);
        _isServing = false;
    }
}
