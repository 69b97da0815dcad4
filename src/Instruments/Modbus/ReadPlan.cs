using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Modbus;

/// <summary>Registers read together: neighbours of one table share a request, encoded once.</summary>
internal sealed class ReadPlan
{
    private readonly RegisterText[] _registers;
    private readonly Group[] _groups;
    private readonly (int Group, int Offset)[] _places;
    private readonly byte[] _payload;
    private readonly long[] _timestamps;

    /// <summary>Groups the registers; the order of <paramref name="registers"/> is kept for the values.</summary>
    /// <param name="registers">What is read.</param>
    /// <param name="isProbe">Whether the value is known, so that it may be asked while an earlier reply is in doubt.</param>
    /// <param name="mostGap">Most registers, or bits, in between that are read though nobody asked.</param>
    public ReadPlan(IReadOnlyList<RegisterText> registers, bool isProbe = false, int mostGap = 0)
    {
        _registers = [.. registers];
        _places = new (int, int)[_registers.Length];
        var order = Enumerable
            .Range(0, _registers.Length)
            .OrderBy(k => _registers[k].Table)
            .ThenBy(k => _registers[k].Address)
            .ToArray();
        var spans = new List<(RegisterTable Table, int Start, int End)>();
        foreach (var k in order)
        {
            var register = _registers[k];
            var end = register.Address + Width(register);
            if (spans.Count > 0 && Joins(spans[^1], register, end, mostGap))
                spans[^1] = spans[^1] with { End = Math.Max(spans[^1].End, end) };
            else
                spans.Add((register.Table, register.Address, end));
            _places[k] = (spans.Count - 1, register.Address - spans[^1].Start);
        }
        _groups = new Group[spans.Count];
        var at = 0;
        for (var g = 0; g < _groups.Length; g++)
        {
            var request = ModbusRequest.Read(
                Registers.ReadFunction(spans[g].Table),
                spans[g].Start,
                spans[g].End - spans[g].Start,
                isProbe
            );
            _groups[g] = new Group(request, at, request.PayloadBytes);
            at += request.PayloadBytes;
        }
        _payload = new byte[at];
        _timestamps = new long[_groups.Length];
    }

    /// <summary>Whether a reading of this plan is under way; it holds one at a time.</summary>
    public bool IsBusy { get; private set; }

    /// <summary>How many requests one reading takes.</summary>
    public int RequestCount => _groups.Length;

    /// <summary>Reads all of it; stops at the first request that is not carried out.</summary>
    public async Task<ModbusReply> ReadAsync(ModbusClient client, CancellationToken cancel)
    {
        IsBusy = true;
        try
        {
            var reply = new ModbusReply(CommandOutcome.Ok, 0, "");
            for (var g = 0; g < _groups.Length; g++)
            {
                var group = _groups[g];
                reply = await client.ReadAsync(group.Request, _payload.AsMemory(group.At, group.Length), cancel);
                if (reply.Outcome != CommandOutcome.Ok)
                    break;
                _timestamps[g] = reply.Timestamp;
            }
            return reply;
        }
        finally
        {
            IsBusy = false;
        }
    }

    /// <summary>Value of register k of the last reading, scaled; of a bit 0 or 1.</summary>
    public double Value(int k)
    {
        var register = _registers[k];
        if (Registers.HoldsBits(register.Table))
            return Bit(k) ? register.Scale : 0;
        var (g, offset) = _places[k];
        return Registers.Decode(register, _payload.AsSpan(_groups[g].At + 2 * offset));
    }

    /// <summary>Whether register k of the last reading is set: a bit, or a register that is not 0.</summary>
    public bool Bit(int k)
    {
        var (g, offset) = _places[k];
        if (Registers.HoldsBits(_registers[k].Table))
            return (_payload[_groups[g].At + offset / 8] >> offset % 8 & 1) == 1;
        return Value(k) != 0;
    }

    /// <summary>When the last byte of register k's reply arrived.</summary>
    public long Timestamp(int k) => _timestamps[_places[k].Group];

    private static int Width(RegisterText register) =>
        Registers.HoldsBits(register.Table) ? 1 : Registers.Width(register.Form);

    private static bool Joins((RegisterTable Table, int Start, int End) span, RegisterText register, int end, int gap)
    {
        var most = Registers.HoldsBits(register.Table) ? Pdu.MostBitsRead : Pdu.MostRegistersRead;
        return span.Table == register.Table
            && register.Address <= span.End + gap
            && Math.Max(end, span.End) - span.Start <= most;
    }

    /// <summary>One request and where its payload is kept.</summary>
    private readonly record struct Group(ModbusRequest Request, int At, int Length);
}
