using System.Collections.Immutable;
using LoadTest.Analysis;

namespace LoadTest.Sequencer.Planning;

/// <summary>A plan as tables of plain text, for the terminal and for reports.</summary>
public static class PlanTable
{
    /// <summary>Every step: setting, elements, what is predicted, when it trips, what a lost control would do, how long.</summary>
    public static TextTable Steps(RunPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        return new TextTable(
            "Steps",
            [
                new("step", IsNumber: true),
                new("what", IsNumber: false),
                new("setting", IsNumber: true),
                new("elements", IsNumber: false),
                new("bank, Ω", IsNumber: true),
                new("V", IsNumber: true),
                new("A", IsNumber: true),
                new("kW", IsNumber: true),
                new("trips above V", IsNumber: true),
                new("trips above A", IsNumber: true),
                new("control lost, V of bank", IsNumber: true),
                new("s", IsNumber: true),
            ],
            [.. plan.Steps.Select(Row)]
        );
    }

    /// <summary>Every limit: tolerance, and what the meters are predicted to make of it.</summary>
    /// <remarks>The risk is that of a reading right at the edge of acceptance, the worst there is: half without a guard band.</remarks>
    public static TextTable Limits(RunPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var judged = plan
            .Groups.SelectMany(g => g.Limits.Select(l => (g.Title, Limit: l)))
            .Concat(
                plan.Steps.OfType<AskStep>().Where(s => s.Limit is not null).Select(s => (s.Title, Limit: s.Limit!))
            );
        return new TextTable(
            "Limits",
            [
                new("where", IsNumber: false),
                new("what", IsNumber: false),
                new("limit", IsNumber: false),
                new("from", IsNumber: true),
                new("to", IsNumber: true),
                new("predicted u", IsNumber: true),
                new("TUR", IsNumber: true),
                new("risk at the edge that a bad one is passed", IsNumber: true),
                new("limit of", IsNumber: false),
            ],
            [.. judged.Select(j => Row(j.Title, j.Limit))]
        );
    }

    /// <summary>Time, energy and the time to load off.</summary>
    public static TextTable Totals(RunPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var (totals, timing) = (plan.Totals, plan.Timing);
        return new TextTable(
            "Totals",
            [new("what", IsNumber: false), new("value", IsNumber: true)],
            [
                ["time, persons answering at once", Clock(totals.Duration)],
                ["of that under load", Clock(totals.LoadedTime)],
                ["heat in the bank", $"{totals.Energy / 3.6e6:0.00} kWh"],
                ["highest power in the bank", $"{totals.PeakPower.Value / 1000:0.00} kW"],
                [
                    "longest time from a fault to load off",
                    $"{timing.WorstCase.TotalSeconds:0.00} s (reading {timing.Aperture.TotalSeconds:0.00} s + scan {timing.Scan.TotalSeconds:0.00} s + bus {timing.Bus.TotalSeconds:0.00} s + contactor {timing.Contactor.TotalSeconds:0.00} s)",
                ],
            ]
        );
    }

    private static ImmutableArray<string> Row(PlannedStep step) =>
        step switch
        {
            PointStep point => Row(step, point.State, Seconds(point.Duration)),
            EnergiseStepPlan energise => Row(step, energise.Proving, ""),
            CoolDownStepPlan cool =>
            [
                $"{step.Number}",
                step.Title,
                .. Enumerable.Repeat("", 9),
                Seconds(cool.AtMost ?? cool.For),
            ],
            _ => [$"{step.Number}", step.Title, .. Enumerable.Repeat("", 10)],
        };

    private static ImmutableArray<string> Row(PlannedStep step, BenchState state, string seconds) =>
        [
            $"{step.Number}",
            step.Title,
            Words.Number(state.Setting),
            state.All.IsEmpty ? "open" : $"{state.All}",
            state.BankResistance is { } ohms ? $"{ohms.Value:0.0000}" : "",
            $"{state.PredictedVolts.Value:0.0}",
            $"{state.PredictedAmperes.Value:0.0}",
            $"{state.BankPower.Value / 1000:0.00}",
            Bound(state.Trips.Volts.Upper),
            Bound(state.Trips.Amperes.Upper),
            state.ControlLost is { } lost ? $"{lost.BankVolts.Value:0.0}" : "",
            seconds,
        ];

    private static ImmutableArray<string> Row(string where, ResolvedLimit limit)
    {
        var of = limit.IsRelativeToSetting ? " of setting" : "";
        return
        [
            where,
            Words.For(limit.Measurand),
            limit.Text,
            limit.Lower is { } lower ? Words.Limit(lower, limit.Unit) + of : "",
            limit.Upper is { } upper ? Words.Limit(upper, limit.Unit) + of : "",
            limit.PredictedUncertainty is { } u ? Words.Uncertainty(u, limit.Unit) + of : "not predictable",
            limit.TestUncertaintyRatio is { } ratio ? Stated.Ratio(ratio) : "",
            limit.FalseAcceptRisk is { } risk ? Stated.Chance(risk) : "",
            limit.Source,
        ];
    }

    private static string Bound(double value) => double.IsFinite(value) ? $"{value:0.0}" : "";

    private static string Seconds(TimeSpan span) => $"{span.TotalSeconds:0.0}";

    private static string Clock(TimeSpan span) =>
        span.TotalHours >= 1
            ? $"{(int)span.TotalHours} h {span.Minutes:00} min"
            : $"{span.Minutes} min {span.Seconds:00} s";
}
