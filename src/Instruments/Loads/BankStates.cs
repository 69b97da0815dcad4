using LoadTest.Analysis.Loads;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Loads;

/// <summary>Reads what a bank was told, which contacts are closed, and its protection inputs, in as few requests as the map allows.</summary>
internal sealed class BankStates
{
    private readonly int _count;
    private readonly ReadPlan _plan;
    private readonly int? _airFlow;
    private readonly int? _overTemperature;
    private readonly int? _stopInput;

    public BankStates(BankSwitching switching)
    {
        _count = switching.ElementCount;
        var registers = new List<RegisterText>();
        for (var k = 0; k < _count; k++)
            registers.Add(Bit(RegisterTable.Coil, switching.FirstElementCoil + k));
        for (var k = 0; k < _count; k++)
            registers.Add(Bit(RegisterTable.DiscreteInput, switching.FirstContact + k));
        _airFlow = Add(registers, switching.AirFlow);
        _overTemperature = Add(registers, switching.OverTemperature);
        _stopInput = Add(registers, switching.StopInput);
        _plan = new ReadPlan(registers);
    }

    /// <summary>How many requests one reading takes.</summary>
    public int RequestCount => _plan.RequestCount;

    /// <summary>Whether a reading is under way; it holds one at a time.</summary>
    public bool IsBusy => _plan.IsBusy;

    public async Task<LoadStates> ReadAsync(ModbusClient client, CancellationToken cancel)
    {
        var reply = await _plan.ReadAsync(client, cancel);
        if (reply.Outcome != CommandOutcome.Ok)
            return Unread(reply.Outcome, reply.Detail, reply.Timestamp);
        return new LoadStates(
            CommandOutcome.Ok,
            "",
            Elements(0),
            Elements(_count),
            Optional(_airFlow),
            Optional(_overTemperature),
            Optional(_stopInput),
            reply.Timestamp
        );
    }

    /// <summary>States that could not be read.</summary>
    public static LoadStates Unread(CommandOutcome outcome, string detail, long timestamp) =>
        new(outcome, detail, default, default, null, null, null, timestamp);

    private static RegisterText Bit(RegisterTable table, int address) =>
        new(table, address, RegisterForm.Bit, false, 1);

    private static int? Add(List<RegisterText> registers, RegisterText? register)
    {
        if (register is null)
            return null;
        registers.Add(register);
        return registers.Count - 1;
    }

    private ElementSet Elements(int first)
    {
        uint mask = 0;
        for (var k = 0; k < _count; k++)
        {
            if (_plan.Bit(first + k))
                mask |= 1u << k;
        }
        return new ElementSet(mask);
    }

    private bool? Optional(int? place) => place is { } k ? _plan.Bit(k) : null;
}
