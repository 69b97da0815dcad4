using System.Collections.Immutable;
using LoadTest.Analysis.Heat;

namespace LoadTest.Sequencer.Planning;

/// <summary>A stretch of a plan during which the load stays as it is.</summary>
/// <param name="Step">Number of the step.</param>
/// <param name="Start">Time from the beginning of the plan.</param>
/// <param name="End">Time from the beginning of the plan.</param>
/// <param name="Amperes">Predicted amperes; zero while unloaded.</param>
/// <param name="Volts">Predicted volts at the studs; zero while the output is off.</param>
/// <param name="BankWatts">Predicted heat in the bank.</param>
/// <param name="Group">Title of the group, or of the step itself.</param>
public sealed record PlanSpan(
    int Step,
    TimeSpan Start,
    TimeSpan End,
    double Amperes,
    double Volts,
    double BankWatts,
    string Group
);

/// <summary>Lays the steps of a plan out in time, persons answering at once.</summary>
public static class PlanTimeline
{
    /// <summary>Expected length of the proving load at energising.</summary>
    private static readonly TimeSpan Proving = TimeSpan.FromSeconds(5);

    /// <summary>The steps in order; steps in which only a person acts take no time and are left out.</summary>
    public static ImmutableArray<PlanSpan> Of(RunPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        return Of(plan.Steps, plan.Groups);
    }

    internal static ImmutableArray<PlanSpan> Of(ImmutableArray<PlannedStep> steps, ImmutableArray<PointGroup> groups)
    {
        var spans = ImmutableArray.CreateBuilder<PlanSpan>();
        var at = TimeSpan.Zero;
        void Add(int step, TimeSpan length, BenchState? state, string group)
        {
            var end = at + length;
            spans.Add(
                new PlanSpan(
                    step,
                    at,
                    end,
                    state?.PredictedAmperes.Value ?? 0,
                    state?.PredictedVolts.Value ?? 0,
                    state?.BankPower.Value ?? 0,
                    group
                )
            );
            at = end;
        }

        void Heat(PointStep point, HeatPlan heat)
        {
            var (title, end) = (groups[point.Group - 1].Title, at + point.Duration);
            if (heat is not { DutyCycle: { } duty, Off: { } off })
            {
                Add(point.Number, point.Duration, point.State, title);
                return;
            }
            while (at < end)
            {
                Add(point.Number, duty * DutyCycle.Cycle, point.State, title);
                Add(point.Number, (1 - duty) * DutyCycle.Cycle, off, title);
            }
        }

        foreach (var step in steps)
        {
            switch (step)
            {
                case EnergiseStepPlan energise:
                    Add(step.Number, Proving, energise.Proving, "Energise");
                    break;
                case PointStep { Heat: { } heat } point:
                    Heat(point, heat);
                    break;
                case PointStep point:
                    Add(step.Number, point.Duration, point.State, groups[point.Group - 1].Title);
                    break;
                case CoolDownStepPlan cool:
                    Add(step.Number, cool.For, null, "Cool down");
                    break;
            }
        }
        return spans.ToImmutable();
    }

    internal static PlanTotals Totals(ImmutableArray<PlanSpan> spans) =>
        new(
            spans.IsEmpty ? TimeSpan.Zero : spans[^1].End,
            spans.Where(s => s.Amperes > 0).Aggregate(TimeSpan.Zero, (sum, s) => sum + (s.End - s.Start)),
            spans.Sum(s => s.BankWatts * (s.End - s.Start).TotalSeconds),
            new(spans.Select(s => s.BankWatts).DefaultIfEmpty(0).Max())
        );
}
