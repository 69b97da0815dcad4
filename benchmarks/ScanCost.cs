using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using LoadTest.Commands;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Benchmarks;

/// <summary>What ten scans a second of four instruments on four wires cost of a core, the simulator in a process of its own.</summary>
internal static class ScanCost
{
    private static readonly TimeSpan Period = TimeSpan.FromMilliseconds(100);
    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan Watched = TimeSpan.FromSeconds(30);

    public static int Run()
    {
        using var simulator = Process.Start(
            new ProcessStartInfo("dotnet")
            {
                ArgumentList =
                {
                    Path.Combine(AppContext.BaseDirectory, "loadtest.dll"),
                    "simulate",
                    "demo-four-wires.yaml",
                    "--port",
                    "0",
                    "--json",
                },
                RedirectStandardOutput = true,
                UseShellExecute = false,
            }
        )!;
        try
        {
            Measure(Wires.Parse("simulate", simulator.StandardOutput.ReadLine()!));
        }
        finally
        {
            simulator.Kill();
        }
        return 0;
    }

    private static void Measure(Wires wires)
    {
        var screen = new Screen(TextWriter.Null, TextWriter.Null, isTerminal: false, hasColour: false, isJson: true);
        var (bench, _) = InputFiles.ReadSimulated(screen, "demo-four-wires.yaml", null);
        var pump = Pump.Real();
        using var stand = new WireStand(bench, wires, pump);
        pump.Run(async () =>
        {
            foreach (var meter in stand.Meters.Values)
            {
                Demand((await meter.IdentifyAsync(CancellationToken.None)).Result, meter.Name);
                Demand(await meter.ConfigureAsync(CancellationToken.None), meter.Name);
            }
            await ScanAsync(bench, stand, pump, WarmUp);
            var (start, used) = (Stopwatch.GetTimestamp(), Used());
            var (scans, good, all) = await ScanAsync(bench, stand, pump, Watched);
            var wall = Stopwatch.GetElapsedTime(start);
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{scans} scans of {stand.Meters.Count} instruments in {wall.TotalSeconds:0.0} s, {good} of {all} readings good: {100 * (Used() - used) / wall:0.0} % of a core."
                )
            );
        });
    }

    private static async Task<(int Scans, int Good, int All)> ScanAsync(
        Bench bench,
        WireStand stand,
        Pump pump,
        TimeSpan length
    )
    {
        var inputs = bench.Wired.ToDictionary(
            i => i.Id,
            i => bench.Channels.Where(c => c.InstrumentId == i.Id).Select(c => c.Input).ToImmutableArray(),
            StringComparer.Ordinal
        );
        var (scans, good, all) = (0, 0, 0);
        for (var next = pump.GetTimestamp(); scans * Period < length; scans++)
        {
            var readings = await Task.WhenAll(
                stand.Meters.Select(m => m.Value.ReadAsync(inputs[m.Key], CancellationToken.None))
            );
            all += readings.Sum(r => r.Length);
            good += readings.Sum(r => r.Count(i => i.Flag == IndicationFlag.Good));
            next += Period.Ticks;
            var wait = next - pump.GetTimestamp();
            if (wait > 0)
                await Task.Delay(TimeSpan.FromTicks(wait), pump, CancellationToken.None);
        }
        return (scans, good, all);
    }

    private static TimeSpan Used() => Process.GetCurrentProcess().TotalProcessorTime;

    private static void Demand(CommandResult result, string name)
    {
        if (result.Outcome != CommandOutcome.Ok)
            throw new InvalidOperationException($"{name}: {result.Detail}");
    }
}
