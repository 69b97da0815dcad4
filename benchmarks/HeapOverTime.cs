using System.Diagnostics;
using System.Globalization;
using System.Text;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Text;

namespace LoadTest.Benchmarks;

/// <summary>Managed memory of a long heat run in virtual time, hour by hour, after a full collection: it has to be flat.</summary>
internal static class HeapOverTime
{
    private const ulong Seed = 1;
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    /// <summary>Runs so many hours, 24 when none are given.</summary>
    public static int Run(string[] args)
    {
        var hours = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 24;
        var bench = ProfileFolder.Find("heat-bench.yaml", "benches");
        var files = RunFiles.Read(
            "heat.yaml",
            Encoding.UTF8.GetBytes(VirtualTimeSpeed.HeatRun($"{hours} h")),
            ProfileFolder.Find("demo-300.yaml", "nameplates"),
            bench
        );
        if (!files.IsRunnable)
        {
            var errors = files.Findings.Where(f => f.Severity == Severity.Error);
            throw new InvalidOperationException(string.Join(Environment.NewLine, errors.Select(e => e.Message)));
        }
        var world = Worlds.Of(files.Plan!.Bench, bench, null);
        Console.WriteLine("virtual h   heap after full collection, MB   journal, MB   real s");
        var path = Path.Combine(Path.GetTempPath(), Path.GetRandomFileName());
        var closed = Measure(files.With(world), world, path, hours);
        File.Delete(path);
        Console.WriteLine($"ended {closed.Outcome} {closed.Code} {closed.Detail}");
        return closed.Outcome == Outcome.Complete ? 0 : 1;
    }

    private static RunClosed Measure(RunFiles files, Worlds world, string path, int hours)
    {
        var watch = Stopwatch.GetTimestamp();
        var pump = Pump.Virtual(Start);
        using var stand = new SimulatedStand(files.Plan!.Bench, world.World, pump, Seed);
        return pump.Run(async () =>
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
            var run = session.RunAsync(pump, journal, CancellationToken.None);
            for (var hour = 1; hour <= hours && !run.IsCompleted; hour++)
            {
                await Task.WhenAny(run, Task.Delay(TimeSpan.FromHours(1), pump));
                var heap = GC.GetTotalMemory(forceFullCollection: true) / 1e6;
                var real = Stopwatch.GetElapsedTime(watch).TotalSeconds;
                Console.WriteLine(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{hour, 9} {heap, 34:0.00} {new FileInfo(path).Length / 1e6, 13:0} {real, 8:0.0}"
                    )
                );
            }
            return await run;
        });
    }
}
