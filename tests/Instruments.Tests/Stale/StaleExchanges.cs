using System.Collections.Immutable;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Fuzzing;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.InstrumentsTests.Stale;

/// <summary>Many exchanges in virtual time with a device whose replies go astray; every register holds its own address.</summary>
internal static class StaleExchanges
{
    public const int Registers = 15;

    private static readonly Place Nowhere = new("stale", 1, 1);

    /// <summary>Reads registers at random until so many requests were sent.</summary>
    public static StaleCount Run(Wiring wiring, long exchanges, int perMille, ulong seed)
    {
        StaleCount? count = null;
        var pump = Pump.Virtual(DateTimeOffset.UnixEpoch);
        var deadline = TimeSpan.FromMilliseconds(100);
        var device = new StrayDevice(wiring, deadline, perMille, seed);
        var line = new MemoryLine("stray", wiring != Wiring.Tcp, pump);
        var wire = new VirtualWire(pump, device, line, deadline);
        line.ToDevice = wire.Carry;
        pump.Run(async () =>
        {
            var connected = InstrumentFactory.Create(Instrument(wiring, deadline), null, line, pump);
            var (good, missing, wrong) = await ReadAsync(connected, exchanges, seed);
            count = Count(connected.Link, device, good, missing, wrong, wire.Missed);
        });
        return count!;
    }

    /// <summary>The counters of both sides together.</summary>
    public static StaleCount Count(
        LinkCounters link,
        StrayDevice device,
        long good,
        long missing,
        long wrong,
        long missed
    ) =>
        new(
            link.Sent,
            device.Requests,
            good,
            missing,
            wrong,
            device.Dropped + device.Late + device.Doubled,
            missed,
            link.Replies,
            link.Timeouts,
            link.BadFrames
        );

    /// <summary>Reads registers at random until so many requests were sent.</summary>
    public static async Task<(long Good, long Missing, long Wrong)> ReadAsync(
        ConnectedInstrument connected,
        long exchanges,
        ulong seed
    )
    {
        var chance = new Mutation(seed ^ 0xABCD, []);
        ImmutableArray<string>[] inputs =
        [
            .. Enumerable.Range(1, Registers).Select(k => ImmutableArray.Create($"r{k}")),
        ];
        var (good, missing, wrong) = (0L, 0L, 0L);
        while (connected.Link.Sent < exchanges)
        {
            var which = chance.Below(Registers);
            var reading = (await connected.Meter.ReadAsync(inputs[which], CancellationToken.None))[0];
            if (reading.Flag != IndicationFlag.Good)
                missing++;
            else if (reading.Value.Equals(which + 1.0))
                good++;
            else
                wrong++;
        }
        return (good, missing, wrong);
    }

    /// <summary>A meter with fifteen registers, and its own address as known value.</summary>
    public static BenchInstrument Instrument(Wiring wiring, TimeSpan deadline)
    {
        var protocol = wiring switch
        {
            Wiring.Tcp => Protocol.ModbusTcp,
            Wiring.Ascii => Protocol.ModbusAscii,
            _ => Protocol.ModbusRtu,
        };
        var definition = new InstrumentDefinition(
            "stray",
            protocol,
            deadline,
            protocol == Protocol.ModbusTcp ? TimeSpan.Zero : TimeSpan.FromMilliseconds(2),
            StrayDevice.Unit,
            new IdentityCheck.KnownRegister(Register(500), 500, null),
            [.. Enumerable.Range(1, Registers).Select(Input)],
            null,
            Nowhere
        );
        return new BenchInstrument("stray", "stale", definition, new LineText.Simulated("stray"), null, null, Nowhere);
    }

    private static InputDefinition Input(int address) =>
        new(
            $"r{address}",
            Unit.One,
            TimeSpan.Zero,
            1000,
            1,
            new AccuracySpecification(0, 0, 0, 0, 0, 0, TimeSpan.Zero),
            Register(address),
            null,
            Nowhere
        );

    private static RegisterText Register(int address) =>
        new(RegisterTable.InputRegister, address, RegisterForm.Unsigned16, false, 1);

    /// <summary>Carries replies in order and notes those whose last byte is too late.</summary>
    private sealed class VirtualWire(Pump pump, StrayDevice device, MemoryLine line, TimeSpan deadline)
    {
        private readonly Queue<(long Due, byte[] Bytes)> _waiting = new();
        private ITimer? _timer;
        private long _free;

        public long Missed { get; private set; }

        public void Carry(ReadOnlySpan<byte> request)
        {
            var now = pump.GetTimestamp();
            var last = long.MaxValue;
            foreach (var (after, bytes, isWhole) in device.Answer(request.ToArray()))
            {
                _free = Math.Max(_free, now + after.Ticks);
                _waiting.Enqueue((_free, bytes));
                if (isWhole && last == long.MaxValue)
                    last = _free;
            }
            if (last > now + deadline.Ticks)
                Missed++;
            Arm();
        }

        private void Arm()
        {
            _timer ??= pump.CreateTimer(_ => Ring(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
            if (_waiting.TryPeek(out var next))
                _timer.Change(
                    TimeSpan.FromTicks(Math.Max(0, next.Due - pump.GetTimestamp())),
                    Timeout.InfiniteTimeSpan
                );
        }

        private void Ring()
        {
            while (_waiting.TryPeek(out var next) && next.Due <= pump.GetTimestamp())
                line.Deliver(_waiting.Dequeue().Bytes);
            Arm();
        }
    }
}
