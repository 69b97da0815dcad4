using System.Collections.Immutable;
using System.Globalization;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>Power cuts, each followed by recovering, appending and recovering again.</summary>
/// <remarks>Two thousand by default; LOADTEST_POWER_CUTS=100000 for as many as docs/figures.md reports.</remarks>
public sealed class PowerCutTests(ITestOutputHelper output)
{
    private const int Usual = 2000;
    private const int MostRecoveries = 6;
    private const int MostWaiting = 20;

    private static int Wanted =>
        int.TryParse(Environment.GetEnvironmentVariable("LOADTEST_POWER_CUTS"), CultureInfo.InvariantCulture, out var n)
            ? n
            : Usual;

    [Fact]
    public void Power_cut_at_any_moment_loses_nothing_acknowledged_and_the_journal_can_be_gone_on_with()
    {
        var (cuts, torn, acknowledged, beyond) = (0L, 0L, 0L, 0L);
        for (var seed = 1; cuts < Wanted; seed++)
        {
            var trial = new Trial(seed);
            trial.Run();
            cuts += trial.Cuts;
            torn += trial.Torn;
            acknowledged += trial.Acknowledged + 1;
            beyond += trial.Beyond;
        }

        output.WriteLine(
            $"{cuts} power cuts: {acknowledged} frames acknowledged, 0 lost; {beyond} frames more survived; {torn} torn ends cut off"
        );
        // A disk that never tears, or never loses anything, would prove nothing.
        Assert.InRange(torn, cuts / 20, cuts);
        Assert.InRange(beyond, 1, acknowledged);
    }

    private sealed class Trial(int seed)
    {
        private readonly Random _chance = new(seed);
        private readonly List<byte[]> _frames = [];

        public int Cuts { get; private set; }

        public long Torn { get; private set; }

        public long Acknowledged { get; private set; } = -1;

        public long Beyond { get; private set; }

        public void Run()
        {
            var found = Write();
            for (var tries = 1; ; tries++)
            {
                var read = Check(found);
                if (read.IsClosed)
                    return;
                if (read.Entries.IsEmpty)
                {
                    Assert.Equal(-1, Acknowledged);
                    return;
                }
                found = Recover(found, mayFail: tries < MostRecoveries);
            }
        }

        // Appends, writes and syncs as the program does: one batch at a time, more gathering meanwhile; then the power fails.
        private byte[] Write()
        {
            var disk = new CutDisk([], _chance) { CutAt = _chance.Next(30) }.Ready();
            using var storage = new CutStorage(disk);
            using var journal = new JournalWriter(storage);
            using var frames = new FrameWriter();
            try
            {
                for (var at = TimeSpan.Zero; ; at += TimeSpan.FromMilliseconds(100))
                {
                    var entry = _frames.Count == 0 ? SomeEntries.All[0] : Entry(at);
                    _frames.Add(frames.Next(entry).ToArray());
                    journal.Append(entry);
                    // Ten frames a second, none of which may wait longer than two seconds.
                    if (_chance.Next(3) == 0 || journal.Count - 1 - journal.Acknowledged >= MostWaiting)
                        storage.WriteAndSync(_chance.Next(4));
                }
            }
            catch (PowerCutException)
            {
                Cuts++;
            }
            Acknowledged = journal.Acknowledged;
            return disk.Found();
        }

        private byte[] Recover(byte[] found, bool mayFail)
        {
            var disk = new CutDisk(found, _chance) { CutAt = mayFail ? _chance.Next(8) : int.MaxValue }.Ready();
            try
            {
                var repaired = JournalRepair.Close(disk, disk.MakeDurable, _ => Torn++, (j, _) => GoOn(j));
                Assert.True(repaired.IsMended);
                Assert.Equal(_frames.Count, repaired.Journal.Entries.Length);
                // From here on the closing is acknowledged as well.
                Acknowledged = _frames.Count - 1;
            }
            catch (PowerCutException)
            {
                Cuts++;
            }
            return disk.Found();
        }

        // What may be found from now on ends with these instead of whatever had been written behind the good frames.
        private ImmutableArray<JournalEntry> GoOn(JournalContents good)
        {
            ImmutableArray<JournalEntry> more = [Entry(good.Entries[^1].At), Closing(good)];
            var count = good.Entries.Length;
            _frames.RemoveRange(count, _frames.Count - count);
            _frames.AddRange(SomeEntries.Frames([.. good.Entries, .. more]).Skip(count));
            return more;
        }

        /// <summary>What is found begins with whole frames as written, everything acknowledged among them.</summary>
        private JournalContents Check(byte[] found)
        {
            var read = SomeEntries.Read(found);
            var whole = read.Entries.Length;
            Assert.True(whole > Acknowledged, $"seed {seed}: {whole} frames found, {Acknowledged + 1} acknowledged");
            var written = _frames.Take(Math.Min(whole, _frames.Count)).SelectMany(f => f).ToArray();
            Assert.True(found.AsSpan().StartsWith(written), $"seed {seed}: not a prefix of what was written");
            Beyond += whole - 1 - Acknowledged;
            return read;
        }

        private JournalEntry Entry(TimeSpan at) => new Remarked(at, new string('x', _chance.Next(4) == 0 ? 1500 : 40));

        private static RunClosed Closing(JournalContents journal) =>
            new(
                journal.Entries[^1].At,
                Outcome.Interrupted,
                "CRASH",
                "found at the next start",
                Sequencer.Journal.BankEnd.Off
            );
    }

    /// <summary>Storage over a disk, with the writing thread's rounds called by the trial.</summary>
    private sealed class CutStorage(CutDisk disk) : IJournalStorage
    {
        private readonly MemoryStream _gathering = new();
        private long _count;

        public Action<long, IOException?>? Synced { get; set; }

        public void Append(ReadOnlySpan<byte> frame)
        {
            _gathering.Write(frame);
            _count++;
        }

        public void RequestSync() { }

        /// <summary>One round of the writing thread; some frames may be appended while the disk is busy, which changes nothing.</summary>
        public void WriteAndSync(int splits)
        {
            var batch = _gathering.ToArray();
            var count = _count;
            _gathering.SetLength(0);
            for (var k = 0; k <= splits; k++)
                disk.Write(
                    batch.AsSpan(
                        batch.Length * k / (splits + 1),
                        batch.Length * (k + 1) / (splits + 1) - batch.Length * k / (splits + 1)
                    )
                );
            disk.MakeDurable();
            Synced?.Invoke(count, null);
        }

        public void Dispose() { }
    }
}
