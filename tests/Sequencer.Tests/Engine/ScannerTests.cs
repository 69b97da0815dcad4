using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Instruments are read side by side, each on its own line: the slowest slows nobody, and every reading says when it came.</summary>
public sealed class ScannerTests
{
    private static readonly TimeSpan Quick = TimeSpan.FromMilliseconds(8);
    private static readonly TimeSpan Watched = TimeSpan.FromSeconds(10);
    private static readonly Bench Bench = SomePlan.Short.Bench;
    private static readonly string Slow = Bench.Channels[^1].InstrumentId;

    [Theory]
    [InlineData(8)]
    [InlineData(95)]
    [InlineData(700)]
    [InlineData(5000)]
    public void The_slowest_instrument_does_not_slow_the_others(int slowMilliseconds)
    {
        var scan = Scan.Of(id => id == Slow ? TimeSpan.FromMilliseconds(slowMilliseconds) : Quick);
        var quick = scan.Meters.Values.Where(m => m.Id != Slow).ToArray();
        Assert.NotEmpty(quick);
        var perMeter = Watched / RunMachine.ScanPeriod;
        Assert.All(quick, m => Assert.InRange(scan.Times[m.Id], perMeter - 1, perMeter + 1));
    }

    [Fact]
    public void Nothing_is_asked_of_an_instrument_that_still_answers() =>
        Assert.All(Scan.Of(_ => TimeSpan.FromMilliseconds(250)).Meters.Values, m => Assert.Equal(1, m.MostAtOnce));

    [Fact]
    public void Reading_carries_the_time_its_reply_was_whole_and_not_that_it_was_looked_at()
    {
        // The meter's reply is whole 3 ms before whoever waits for it goes on.
        var readings = Scan.Of(_ => Quick).Readings;
        Assert.NotEmpty(readings);
        Assert.All(readings, r => Assert.Equal(r.Seen - Meter.Looked, r.Reading.At));
    }

    [Fact]
    public void No_channel_of_a_quick_instrument_is_ever_older_than_a_period_and_its_reading()
    {
        var scan = Scan.Of(id => id == Slow ? TimeSpan.FromSeconds(5) : Quick);
        foreach (var (channel, index) in Bench.Channels.Select((c, k) => (c, k)).Where(c => c.c.InstrumentId != Slow))
        {
            var times = scan.Readings.Where(r => r.Reading.Channel == index).Select(r => r.Seen).ToArray();
            Assert.NotEmpty(times);
            var longest = times.Zip(times.Skip(1), (a, b) => b - a).Max();
            Assert.True(longest <= RunMachine.ScanPeriod + Quick + Meter.Looked, $"{channel.Name}: {longest}");
        }
    }

    private sealed class Scan
    {
        public Dictionary<string, Meter> Meters { get; } = new(StringComparer.Ordinal);

        public List<(TimeSpan Seen, Reading Reading)> Readings { get; } = [];

        public int Ticks { get; private set; }

        /// <summary>Readings of each meter while it was watched first.</summary>
        public Dictionary<string, int> Times { get; private set; } = [];

        public static Scan Of(Func<string, TimeSpan> takes)
        {
            var scan = new Scan();
            var pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
            foreach (var instrument in Bench.Wired)
                scan.Meters.Add(instrument.Id, new Meter(instrument.Id, pump, takes(instrument.Id)));
            var opened = pump.GetTimestamp();
            var scanner = new Scanner(
                Bench,
                scan.Meters.ToDictionary(m => m.Key, m => (IMeter)m.Value, StringComparer.Ordinal),
                pump,
                opened,
                input =>
                {
                    if (scan.Times.Count == 0)
                        scan.Readings.AddRange(
                            ((ReadingsArrived)input).Readings.Select(r =>
                                (TimeSpan.FromTicks(pump.GetTimestamp() - opened), r)
                            )
                        );
                },
                _ => scan.Ticks++,
                trouble => throw new InvalidOperationException("A meter threw.", trouble)
            );
            pump.Run(async () =>
            {
                scanner.Start();
                scanner.Start();
                await Task.Delay(Watched, pump, CancellationToken.None);
                scanner.Stop();
                scan.Times = scan.Meters.Values.ToDictionary(m => m.Id, m => m.Times, StringComparer.Ordinal);
                await Task.Delay(TimeSpan.FromSeconds(6), pump, CancellationToken.None);
                var late = scan.Meters.Values.Sum(m => m.Times);
                await Task.Delay(Watched, pump, CancellationToken.None);
                Assert.Equal(late, scan.Meters.Values.Sum(m => m.Times));
                // Begun again, and ended without having been stopped.
                scanner.Begin();
                scanner.Start();
                await Task.Delay(Watched, pump, CancellationToken.None);
                scanner.End();
                await Task.Delay(TimeSpan.FromSeconds(6), pump, CancellationToken.None);
                var (ended, ticks) = (scan.Meters.Values.Sum(m => m.Times), scan.Ticks);
                Assert.InRange(ticks, 99, 101);
                await Task.Delay(Watched, pump, CancellationToken.None);
                Assert.Equal((ended, ticks), (scan.Meters.Values.Sum(m => m.Times), scan.Ticks));
            });
            return scan;
        }
    }

    private sealed class Meter(string id, Pump pump, TimeSpan takes) : IMeter
    {
        /// <summary>Between the reply's last byte and the moment its reader goes on.</summary>
        public static readonly TimeSpan Looked = TimeSpan.FromMilliseconds(3);

        private int _now;

        public string Id => id;

        public string Name => id;

        public int Times { get; private set; }

        public int MostAtOnce { get; private set; }

        public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) =>
            Task.FromResult(new IdentityReply(CommandResult.Ok, id));

        public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => Task.FromResult(CommandResult.Ok);

        public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
        {
            Times++;
            MostAtOnce = Math.Max(MostAtOnce, ++_now);
            await Task.Delay(takes, pump, CancellationToken.None);
            var stamp = pump.GetTimestamp();
            await Task.Delay(Looked, pump, CancellationToken.None);
            _now--;
            return [.. inputs.Select(_ => new Indication(1, IndicationFlag.Good, stamp))];
        }
    }
}
