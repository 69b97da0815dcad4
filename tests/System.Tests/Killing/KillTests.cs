using System.Globalization;

namespace LoadTest.SystemTests.Killing;

/// <summary>kill -9 over real sockets, in real time: nothing acknowledged lost, every journal readable, bank off after the next start.</summary>
/// <remarks>A handful by default; LOADTEST_KILLS for as many as docs/figures.md reports, or every write, sync and frame when there are no more.</remarks>
public sealed class KillTests(ITestOutputHelper output) : IDisposable
{
    private const int Usual = 4;
    private const int MostAttempts = 6;

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("kills");

    private static readonly string? Asked = Environment.GetEnvironmentVariable("LOADTEST_KILLS");

    /// <summary>What came of kills that were asked for by number, a line for each test.</summary>
    private static readonly string Reports = Path.Combine(AppContext.BaseDirectory, "kills.txt");

    private static bool IsCounted => Asked is not null;

    private static int Wanted => Asked is null ? Usual : int.Parse(Asked, CultureInfo.InvariantCulture);

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Program_killed_at_a_random_moment_loses_nothing_and_the_next_start_finds_the_bank_off()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "killed with kill(2)");
        TimeSpan whole;
        using (var bench = new KilledBench(_folder.CreateSubdirectory("whole").FullName))
            whole = await bench.TimeAsync();
        var chance = new Random(4);
        var moments = Enumerable.Range(0, Wanted).Select(k => whole * ((k + chance.NextDouble()) / Wanted)).ToArray();
        chance.Shuffle(moments);
        // The next start is the program itself every tenth time, and otherwise its first steps called from here.
        var trials = moments.Select((moment, k) => (moment, k % 10 == 0)).ToArray();
        await Report("random moments", trials, 3, (bench, t) => bench.KillProgramAsync(t.moment, t.Item2));
    }

    [Fact]
    public async Task Run_killed_at_a_write_a_sync_or_a_frame_loses_nothing_and_the_next_start_finds_the_bank_off()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "killed with kill(2)");
        int total;
        using (var bench = new KilledBench(_folder.CreateSubdirectory("whole").FullName))
            total = await bench.CountAsync();
        var all = Math.Min(Wanted, total);
        int[] numbers = [.. Enumerable.Range(0, all).Select(k => 1 + (int)((long)k * total / all))];
        await Report($"of {total} writes, syncs and frames", numbers, 2, (bench, number) => bench.KillAtAsync(number));
    }

    // At a real fault no handler runs: what answers is the bank's own watchdog, and the next start.
    [Theory]
    [InlineData("SEGV")]
    [InlineData("BUS")]
    [InlineData("FPE")]
    [InlineData("ABRT")]
    public async Task Fault_in_mid_load_is_a_crash_that_the_next_start_finds_and_closes(string fault)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "faults by their signals on Linux");
        Assert.SkipWhen(
            fault == "FPE"
                && System.Runtime.InteropServices.RuntimeInformation.ProcessArchitecture
                    != System.Runtime.InteropServices.Architecture.X64,
            "other processors divide by zero without a fault"
        );
        const int InMidLoad = 180;
        const int Further = 17;
        for (var attempt = 1; ; attempt++)
        {
            using var bench = new KilledBench(_folder.CreateSubdirectory($"{fault}-{attempt}").FullName);
            var killed = await bench.KillAtAsync(InMidLoad + Further * attempt, fault);
            output.WriteLine($"{fault}: {killed}");
            // The watchdog of the bank may be faster than the system is with the remains of a process.
            if (killed.IsHit && bench.LastCommanded != 0)
                return;
            Assert.True(attempt < 2 * MostAttempts, "the machine was too busy for a run in real time");
        }
    }

    private async Task Report<T>(string what, T[] trials, int atOnce, Func<KilledBench, T, Task<Killed>> kill)
    {
        var results = new List<Killed>();
        var next = -1;
        async Task Work()
        {
            for (var k = Interlocked.Increment(ref next); k < trials.Length; k = Interlocked.Increment(ref next))
            {
                var killed = await Try(k);
                lock (results)
                    results.Add(killed);
            }
        }
        // A run that the busy machine ended before its turn came is made again.
        async Task<Killed> Try(int k)
        {
            for (var attempt = 1; ; attempt++)
            {
                using var bench = new KilledBench(_folder.CreateSubdirectory($"{what}-{k}-{attempt}").FullName);
                var killed = await kill(bench, trials[k]);
                if (killed.IsHit || attempt == MostAttempts)
                    return killed;
            }
        }
        await Task.WhenAll(Enumerable.Range(0, atOnce).Select(_ => Task.Run(Work)));
        var hits = results.Count(r => r.IsHit);
        var report =
            $"{hits} kills at {trials.Length} {what}: {results.Count(r => r.WasOn != 0)} with elements on, "
            + $"{results.Sum(r => (long)r.Frames)} frames kept, {results.Count(r => r.Torn > 0)} torn ends; 0 acknowledged frames lost, 0 journals unreadable, bank off after every next start, {results.Count(r => !r.IsConfirmed)} times without its being confirmed";
        output.WriteLine(report);
        if (IsCounted)
            await File.AppendAllTextAsync(Reports, report + "\n");
        // Asked for by number on a quiet machine, nearly all must come about: the last few moments of one run are beyond the end of another.
        Assert.InRange(hits, IsCounted ? (int)(0.98 * trials.Length) : 1, trials.Length);
    }
}
