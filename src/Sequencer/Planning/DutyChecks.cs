using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Holds any ten minutes of a plan against what source, leads and reference shunt stand on average.</summary>
/// <remarks>
/// Duty cycle is counted over ten minutes (IEC 60974-1, from memory: check your copy). Heating goes with the square of the
/// current, so ten minutes are judged by their rms: 300 A at 60 % is 300·√0.6 = 232 A rms (common practice, no source).
/// </remarks>
internal static class DutyChecks
{
    /// <summary>How far elements may miss the rated current without a word, a fraction.</summary>
    private const double Matching = 0.02;

    private static readonly TimeSpan Window = TimeSpan.FromMinutes(10);

    public static void Check(
        Circuit circuit,
        ImmutableArray<PlannedStep> steps,
        ImmutableArray<PlanSpan> spans,
        List<Finding> findings
    )
    {
        foreach (var mode in Modes(steps))
            Source(mode, steps, spans, findings);
        if (Worst(spans) is not { } worst)
            return;
        var place = steps[worst.Step - 1].Place;
        var leads = circuit.Bench.Leads;
        var byDuty = leads.DutyAmperes.Value * Math.Sqrt(leads.DutyCycle);
        Say("the leads", worst, Math.Max(leads.RatedAmperes.Value, byDuty), "Use thicker leads.", place, findings);
        var shunt = circuit.Bench.ReferenceShunt;
        Say(
            "the reference shunt",
            worst,
            shunt.RatedAmperes.Value * shunt.ContinuousFraction,
            "Use a larger shunt.",
            place,
            findings
        );
    }

    private static IEnumerable<UnitMode> Modes(ImmutableArray<PlannedStep> steps) =>
        steps.OfType<PointStep>().Select(s => s.State.Mode).Distinct();

    private static void Source(
        UnitMode mode,
        ImmutableArray<PlannedStep> steps,
        ImmutableArray<PlanSpan> spans,
        List<Finding> findings
    )
    {
        var own = spans.Where(s => steps[s.Step - 1] is PointStep p && p.State.Mode == mode).ToImmutableArray();
        var peak = own.MaxBy(s => s.Amperes);
        if (peak is not null && peak.Amperes > mode.RatedAmperes.Value * (1 + Matching))
        {
            findings.Add(
                new(
                    steps[peak.Step - 1].Place,
                    Severity.Warning,
                    $"{steps[peak.Step - 1].Title}: {Figures.With(peak.Amperes, "A", 4)} is above the rated {Figures.With(mode.RatedAmperes.Value, "A", 4)} of mode {mode.Name}. Keep it as short as the unit's papers allow."
                )
            );
        }
        if (Worst(own) is { } worst)
        {
            Say(
                $"mode {mode.Name} ({Figures.With(mode.RatedAmperes.Value, "A", 4)} at {Figures.Of(mode.DutyCycle * 100, 3)} %)",
                worst,
                mode.RatedAmperes.Value * Math.Sqrt(mode.DutyCycle),
                "Shorten or lower the load there, or put a cool-down before it.",
                steps[worst.Step - 1].Place,
                findings
            );
        }
    }

    private static void Say(
        string what,
        (double Rms, int Step) worst,
        double allowed,
        string help,
        Place place,
        List<Finding> findings
    )
    {
        if (worst.Rms > allowed * (1 + 1e-9))
        {
            findings.Add(
                new(
                    place,
                    Severity.Error,
                    $"In the ten minutes about step {worst.Step} the current is {Figures.With(worst.Rms, "A", 4)} rms; {what} stands {Figures.With(allowed, "A", 4)} rms. {help}"
                )
            );
        }
    }

    /// <summary>The ten minutes with the most heating: of a current that changes in steps, they begin or end at a step.</summary>
    internal static (double Rms, int Step)? Worst(ImmutableArray<PlanSpan> spans)
    {
        (double Rms, int Step)? worst = null;
        foreach (var span in spans.Where(s => s.Amperes > 0))
        {
            var mean = Math.Max(Mean(spans, span.End - Window), Mean(spans, span.Start));
            var rms = Math.Sqrt(mean);
            if (worst is not { } known || rms > known.Rms)
                worst = (rms, span.Step);
        }
        return worst;
    }

    private static double Mean(ImmutableArray<PlanSpan> spans, TimeSpan from)
    {
        var until = from + Window;
        var sum = 0.0;
        foreach (var span in spans)
        {
            var start = span.Start > from ? span.Start : from;
            var end = span.End < until ? span.End : until;
            if (end > start)
                sum += span.Amperes * span.Amperes * (end - start).TotalSeconds;
        }
        return sum / Window.TotalSeconds;
    }
}
