using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Banks;

/// <summary>The load bank on a wire; framings derive from it.</summary>
internal abstract class ModbusDevice : SimulatedDevice
{
    private readonly Plant _plant;
    private readonly BankServer _server;
    private readonly Outbox _outbox;
    private readonly byte[] _pdu = new byte[256];

    protected ModbusDevice(Plant plant, BankMap map, TimeProvider time)
        : base(plant.World.Bank.Name, plant.World.Bank.Protocol, (byte)plant.World.Bank.UnitId)
    {
        _plant = plant;
        Map = map;
        _server = new BankServer(map);
        _outbox = new Outbox(time, bytes => Answer?.Invoke(bytes));
        TurnAround = TimeSpan.FromTicks((long)(plant.World.Bank.TurnAroundMilliseconds * 10_000));
    }

    public BankMap Map { get; }

    public LineFaults Faults { get; } = new();

    protected TimeSpan TurnAround { get; }

    protected long Now => _plant.Ticks;

    public override void Connected() => _outbox.Clear();

    /// <summary>Lets everything due until now happen first.</summary>
    protected void CatchUp() => _plant.CatchUp();

    /// <summary>Obeys a request; the reply without frame, valid until the next request.</summary>
    /// <param name="request">Function code and data.</param>
    /// <param name="arrival">How much longer the request takes on the wire.</param>
    protected ReadOnlySpan<byte> Obey(ReadOnlySpan<byte> request, TimeSpan arrival)
    {
        var length = _server.Answer(request, _pdu, _plant.Ticks + arrival.Ticks);
        return _pdu.AsSpan(0, length);
    }

    protected void Send(byte[] frame, TimeSpan after) => Faults.Send(_outbox, frame, after);

    protected override void Dispose(bool disposing) => _outbox.Dispose();
}
