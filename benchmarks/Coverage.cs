using System.Globalization;
using System.Text;
using LoadTest.Running;
using LoadTest.Sequencer.Text;

namespace LoadTest.Benchmarks;

/// <summary>How often the truth lies inside the stated uncertainty, for every kind a record states, on benches drawn as their budgets claim.</summary>
/// <remarks>One draw a bench counts for each kind, chosen by the seed. Ends with 1 where a kind falls short.</remarks>
internal static class Coverage
{
    private const double Least = 0.93;
    private const double Most = 0.99;
    private const int Whole = 1000;

    private const string Workshop = """
        format: 1
        profile: Warm and auxiliary
        revision: 1
        for: dc welding generator
        average: 20 readings
        settle: { within: 0.3 % of reading, or volts within: 20 mV, or amperes within: 0.3 A, over: 4 s, give up after: 60 s }
        decision: { rule: guard band, factor: 1, coverage: 95 % }
        trip:
          output current: above 115 % of rated current
          output voltage: above 85 V
          load conductance: below 75 % of commanded or above 125 % of commanded
          unit temperature: above 155 °C
          bank outlet temperature: above 130 °C
          lug temperature: above 90 °C
          reference shunt temperature: above 90 °C
          auxiliary voltage: below 80 % of rated auxiliary voltage or above 115 % of rated auxiliary voltage
          auxiliary current: above 48 A
          auxiliary frequency: below 90 % of rated frequency or above 108 % of rated frequency
        steps:
          - energise: { mode: constant current }
          - heat run: { at: 60 % of rated current, duty cycle: 60 %, off part: no load, at most: 21 min, expect: { unit temperature rise: at most 100 K } }
          - auxiliary load:
              at: [0 %, 50 %, 100 %]
              expect:
                auxiliary voltage: rated auxiliary voltage ± 10 %
                voltage regulation: at most 10 %
                frequency droop: at most 5 %
          - hold: { at: 60 % of rated current, for: 5 min, expect: { drift: at most 1 % } }
          - cool down: { for: 10 s }
        """;

    public static int Run(string[] args)
    {
        var number = CultureInfo.InvariantCulture;
        if (
            args is not [var count, "--from", var first]
            || !int.TryParse(count, NumberStyles.None, number, out var n)
            || n < 1
            || !ulong.TryParse(first, NumberStyles.None, number, out var from)
        )
        {
            Console.WriteLine("Give the number of benches and the first seed: coverage 1000 --from 1");
            return 2;
        }
        var nameplate = ProfileFolder.Find("demo-300.yaml", "nameplates");
        var demo = CoverageDraw.BenchWithoutCorrections("demo.yaml");
        var workshop = CoverageDraw.BenchWithoutCorrections("workshop.yaml");
        var verification = Read(RunFiles.Read(ProfileFolder.Find("output-verification.yaml", ""), nameplate, demo));
        var warm = Read(RunFiles.Read("coverage.yaml", Encoding.UTF8.GetBytes(Workshop), nameplate, workshop));
        var found = new Stated[n][];
        var options = new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount };
        Parallel.For(
            0,
            n,
            options,
            i =>
            {
                var seed = from + (ulong)i;
                Stated[] all =
                [
                    .. Of(verification, demo, seed, ""),
                    .. Of(warm, workshop, seed, ", thermometer at the shunt"),
                ];
                found[i] = [.. all.DistinctBy(s => s.Kind, StringComparer.Ordinal)];
            }
        );
        return Show(found);
    }

    private static RunFiles Read(RunFiles files)
    {
        if (files.IsRunnable)
            return files;
        var errors = files.Findings.Where(f => f.Severity == Severity.Error);
        throw new InvalidOperationException(string.Join(Environment.NewLine, errors.Select(e => e.Message)));
    }

    // One draw of each kind.
    private static IEnumerable<Stated> Of(RunFiles files, string bench, ulong seed, string drift)
    {
        var draw = new CoverageDraw(seed);
        var world = Worlds.Of(files.Plan!.Bench, bench, null);
        var drawn = draw.Of(world.World, files.Plan.Bench);
        var run = CoverageRun.Of(files.With(world), drawn, seed);
        return new CoverageKinds(run)
            .All()
            .GroupBy(s => s.Kind, StringComparer.Ordinal)
            .Select(g =>
            {
                var one = g.ElementAt((int)(draw.Uniform() * g.Count()));
                return one.Kind == "hold drift" ? one with { Kind = $"hold drift{drift}" } : one;
            });
    }

    private static int Show(Stated[][] found)
    {
        Console.WriteLine("| kind | benches | inside | error/u | k | largest component | |");
        Console.WriteLine("|---|---|---|---|---|---|---|");
        var falling = 0;
        foreach (var kind in found.SelectMany(f => f).GroupBy(s => s.Kind, StringComparer.Ordinal))
        {
            var all = kind.ToArray();
            var inside =
                (double)all.Count(s => Math.Abs(s.Error) <= s.CoverageFactor * s.StandardUncertainty) / all.Length;
            var spread = Math.Sqrt(all.Average(s => Math.Pow(s.Error / s.StandardUncertainty, 2)));
            var isDominated = all.Count(s => s.IsDominated) * 2 > all.Length;
            // Fewer benches say less: three standard deviations of the share itself.
            var slack = all.Length >= Whole ? 0 : 3 * Math.Sqrt(0.05 * 0.95 / all.Length);
            var isShort = inside < Least - slack || inside > Most && !isDominated && all.Length >= Whole;
            falling += isShort ? 1 : 0;
            var largest = all.GroupBy(s => s.Largest.Split(' ')[0], StringComparer.Ordinal)
                .MaxBy(g => g.Count())!
                .First()
                .Largest;
            var remark =
                isShort ? "falls short"
                : spread is < 0.7 or > 1.1 ? $"ratio outside 0.7 to 1.1: {(largest.Length > 0 ? largest : "no budget")}"
                : isDominated ? "k by the rectangle"
                : "";
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"| {kind.Key} | {all.Length} | {inside * 100:0.0} % | {spread:0.00} | {all.Average(s => s.CoverageFactor):0.00} | {largest} | {remark} |"
                )
            );
        }
        return falling == 0 ? 0 : 1;
    }
}
