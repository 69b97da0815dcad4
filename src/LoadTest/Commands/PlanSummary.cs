using System.Collections.Immutable;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>A plan on one screen: a line for each group of points.</summary>
internal static class PlanSummary
{
    /// <summary>Groups in order: points, the span of amperes and volts, power, time.</summary>
    public static TextTable Of(RunPlan plan) =>
        new(
            "Groups",
            [
                new("group", IsNumber: false),
                new("points", IsNumber: true),
                new("A", IsNumber: true),
                new("V", IsNumber: true),
                new("kW at most", IsNumber: true),
                new("s", IsNumber: true),
            ],
            [
                .. plan
                    .Steps.OfType<PointStep>()
                    .GroupBy(s => s.Group)
                    .OrderBy(g => g.Key)
                    .Select(g => Row(plan.Groups[g.Key - 1].Title, [.. g])),
            ]
        );

    private static ImmutableArray<string> Row(string title, PointStep[] steps) =>
        [
            title,
            $"{steps.Length}",
            Span(steps.Select(s => s.State.PredictedAmperes.Value)),
            Span(steps.Select(s => s.State.PredictedVolts.Value)),
            $"{steps.Max(s => s.State.BankPower.Value) / 1000:0.0}",
            $"{steps.Sum(s => s.Duration.TotalSeconds):0}",
        ];

    private static string Span(IEnumerable<double> values)
    {
        var all = values.ToArray();
        var (low, high) = ($"{all.Min():0.0}", $"{all.Max():0.0}");
        return low == high ? low : $"{low} to {high}";
    }
}
