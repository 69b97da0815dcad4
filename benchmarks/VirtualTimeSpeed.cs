using System.Diagnostics;
using System.Globalization;
using System.Text;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Text;

namespace LoadTest.Benchmarks;

/// <summary>How much faster than real time whole runs go: engine, codecs, four instruments, journal, simulated bench, one core.</summary>
internal static class VirtualTimeSpeed
{
    private const int Rounds = 5;
    private const ulong Seed = 1;
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    /// <summary>A heat run at its rating with a duty cycle, until its time is over: no equilibrium is asked for.</summary>
    internal static string HeatRun(string atMost) =>
        $$"""
            format: 1
            profile: Heat run
            revision: 1
            for: dc welding generator
            average: 20 readings
            settle: { within: 0.3 % of reading, or amperes within: 0.3 A, over: 4 s, give up after: 60 s }
            decision: { rule: simple acceptance, coverage: 95 % }
            trip:
              output current: above 115 % of rated current
              output voltage: above 85 V
              load conductance: below 75 % of commanded or above 125 % of commanded
              unit temperature: above 155 °C
              bank outlet temperature: above 130 °C
              lug temperature: above 90 °C
              reference shunt temperature: above 90 °C
            steps:
              - energise: { mode: constant current }
              - heat run: { at: 100 % of rated current, duty cycle: 60 %, off part: no load, at most: {{atMost}} }
              - cool down: { for: 10 s }
            """;

    public static int Run()
    {
        var nameplate = ProfileFolder.Find("demo-300.yaml", "nameplates");
        var bench = ProfileFolder.Find("demo.yaml", "benches");
        Console.WriteLine(
            "run                       virtual s  real s   ratio  exchanges   frames  journal bytes  allocated MB"
        );
        var heat = ProfileFolder.Find("heat-bench.yaml", "benches");
        var twoHours = Encoding.UTF8.GetBytes(HeatRun("2 h"));
        Show("two-hour heat run, 300 A", RunFiles.Read("heat.yaml", twoHours, nameplate, heat), heat);
        var verification = ProfileFolder.Find("output-verification.yaml", "");
        Show("output verification", RunFiles.Read(verification, nameplate, bench), bench);
        return 0;
    }

    private static void Show(string what, RunFiles files, string benchPath)
    {
        if (!files.IsRunnable)
        {
            var errors = files.Findings.Where(f => f.Severity == Severity.Error);
            throw new InvalidOperationException(string.Join(Environment.NewLine, errors.Select(e => e.Message)));
        }
        var world = Worlds.Of(files.Plan!.Bench, benchPath, null);
        var rounds = Enumerable
            .Range(0, Rounds)
            .Select(_ => Measure(files.With(world), world))
            .OrderBy(r => r.Real)
            .ToArray();
        var r = rounds[Rounds / 2];
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{what, -24} {r.Virtual.TotalSeconds, 11:0} {r.Real.TotalSeconds, 7:0.00} {r.Virtual / r.Real, 7:0} {r.Exchanges, 10} {r.Frames, 8} {r.Bytes, 14} {r.Allocated / 1e6, 13:0}"
            )
        );
    }

    /// <summary>One run, its journal on disk with one real sync at the end.</summary>
    private static Round Measure(RunFiles files, Worlds world)
    {
        var path = Path.Combine(Path.GetTempPath(), Path.GetRandomFileName());
        var allocated = GC.GetAllocatedBytesForCurrentThread();
        var watch = Stopwatch.GetTimestamp();
        var pump = Pump.Virtual(Start);
        using var stand = new SimulatedStand(files.Plan!.Bench, world.World, pump, Seed);
        long frames = 0;
        try
        {
            var closed = pump.Run(async () =>
            {
                await stand.ProveSimulatedAsync();
                using var journal = new JournalWriter(new VirtualStorage(path, pump, Seed), pump);
                var session = new RunSession(
                    files,
                    "benchmark",
                    files.Plan.Nameplate.SerialNumber!,
                    IsProvedSimulated: true,
                    "",
                    stand.Load,
                    stand.Meters,
                    new ScriptedOperator(stand.Hands, pump, "benchmark", ["8.8"]),
                    1L << 40
                );
                var end = await session.RunAsync(pump, journal, CancellationToken.None);
                frames = journal.Count;
                return end;
            });
            if (closed.Outcome != Outcome.Complete)
                throw new InvalidOperationException($"The run ended {closed.Outcome} {closed.Code}: {closed.Detail}");
            return new Round(
                TimeSpan.FromTicks(pump.GetTimestamp()),
                Stopwatch.GetElapsedTime(watch),
                stand.Links.Values.Sum(l => l.Sent),
                frames,
                new FileInfo(path).Length,
                GC.GetAllocatedBytesForCurrentThread() - allocated
            );
        }
        finally
        {
            File.Delete(path);
        }
    }

    private sealed record Round(
        TimeSpan Virtual,
        TimeSpan Real,
        long Exchanges,
        long Frames,
        long Bytes,
        long Allocated
    );
}
