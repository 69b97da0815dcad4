using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Profiles;

/// <summary>What must hold between the steps of a profile, in their order.</summary>
internal static class StepOrder
{
    /// <summary>Checks the order of steps and the use of points.</summary>
    internal static void Check(
        ImmutableArray<ProfileStep> steps,
        ImmutableDictionary<string, ImmutableArray<ProfileStep>> points,
        Place pointsPlace,
        FindingList findings
    )
    {
        CheckLive(steps, points, findings);
        CheckMeasures(steps, points, findings);
        foreach (var name in points.Keys.Order(StringComparer.Ordinal))
        {
            if (!steps.OfType<MeasureStep>().Any(m => m.Points == name))
            {
                findings.Warn(
                    pointsPlace,
                    $"The points `{name}` are never measured. Add `measure: {name} as found`, or take them out."
                );
            }
        }
    }

    private static bool IsLoaded(ProfileStep step, ImmutableDictionary<string, ImmutableArray<ProfileStep>> points) =>
        step switch
        {
            NoLoadStep
            or CurveStep
            or LoadLineStep
            or ShuntSweepStep
            or HoldStep
            or HeatRunStep
            or TransientStep
            or AuxiliaryStep
            or WeldAndAuxiliaryStep => true,
            ForEachStep loop => loop.Do.Any(s => IsLoaded(s, points)),
            MeasureStep measure => points.TryGetValue(measure.Points, out var group)
                && group.Any(s => IsLoaded(s, points)),
            _ => false,
        };

    // Live from `energise` to `cool down`; what needs the output stands between, and a live profile ends cooled.
    private static void CheckLive(
        ImmutableArray<ProfileStep> steps,
        ImmutableDictionary<string, ImmutableArray<ProfileStep>> points,
        FindingList findings
    )
    {
        EnergiseStep? live = null;
        foreach (var step in steps)
        {
            if (step is EnergiseStep energise)
            {
                if (live is not null)
                {
                    findings.Error(
                        step.Place,
                        $"`energise` stands here while the output is live since line {live.Place.Line}. Put `cool down` between."
                    );
                }
                live = energise;
            }
            else if (step is CoolDownStep)
            {
                if (live is null)
                {
                    findings.Error(
                        step.Place,
                        "`cool down` stands here, but nothing was energised. Put `energise` before, or delete it."
                    );
                }
                live = null;
            }
            else if (live is null && IsLoaded(step, points))
            {
                findings.Error(step.Place, "This step needs a live output. Put `energise` before it.");
            }
        }
        if (live is not null)
        {
            findings.Error(
                live.Place,
                "After this `energise` no `cool down` follows. End the live part with `cool down`."
            );
        }
    }

    private static void CheckMeasures(
        ImmutableArray<ProfileStep> steps,
        ImmutableDictionary<string, ImmutableArray<ProfileStep>> points,
        FindingList findings
    )
    {
        var isAdjusted = false;
        var seen = new HashSet<(string, Condition)>();
        foreach (var step in steps)
        {
            isAdjusted |= step is AdjustStep;
            if (step is not MeasureStep measure)
            {
                continue;
            }
            var (name, condition) = (measure.Points, measure.Condition);
            var words = condition == Condition.AsFound ? "as found" : "as left";
            if (!points.ContainsKey(name))
            {
                var advice =
                    points.Count == 0
                        ? "The file has no `points`; add them."
                        : NearestWord.Advice(name, [.. points.Keys.Order(StringComparer.Ordinal)]);
                findings.Error(step.Place, $"`measure` names the points `{name}`, which are not there. {advice}");
            }
            else if (!seen.Add((name, condition)))
            {
                findings.Error(step.Place, $"`{name} {words}` is measured a second time. Keep one of them.");
            }
            else if (condition == Condition.AsFound && isAdjusted)
            {
                findings.Error(
                    step.Place,
                    $"`{name} as found` stands after an `adjust`; as found is before anything is turned. Move it up."
                );
            }
            else if (condition == Condition.AsLeft && !seen.Contains((name, Condition.AsFound)))
            {
                findings.Error(
                    step.Place,
                    $"`{name} as left` stands without `{name} as found` before it. Measure it as found first."
                );
            }
            else if (condition == Condition.AsLeft && !isAdjusted)
            {
                findings.Error(
                    step.Place,
                    $"`{name} as left` stands before any `adjust`. Put the adjustment between as found and as left."
                );
            }
        }
    }
}
