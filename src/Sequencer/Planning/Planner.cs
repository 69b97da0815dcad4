using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Works a profile out for one unit on one bench.</summary>
public static class Planner
{
    /// <summary>The plan, with every finding that a look at the three files can give.</summary>
    /// <param name="profile">The profile.</param>
    /// <param name="nameplate">The unit's nameplate.</param>
    /// <param name="bench">The bench.</param>
    /// <returns>A plan that may be run only if no finding is an error. The same files give the same plan: no clock, no chance.</returns>
    public static RunPlan Plan(LoadProfile profile, Nameplate nameplate, Bench bench)
    {
        ArgumentNullException.ThrowIfNull(profile);
        ArgumentNullException.ThrowIfNull(nameplate);
        ArgumentNullException.ThrowIfNull(bench);
        var findings = new List<Finding>();
        var circuit = new Circuit(bench);
        BenchChecks.Check(profile, nameplate, circuit, findings);
        var builder = new PlanBuilder(profile, nameplate, circuit, findings);
        builder.Walk(profile.Steps);
        var (steps, groups) = (builder.Steps, builder.Groups);
        var spans = PlanTimeline.Of(steps, groups);
        RatingChecks.Check(nameplate, circuit, steps, spans, findings);
        return new RunPlan(
            profile,
            nameplate,
            bench,
            steps,
            groups,
            circuit.Timing,
            PlanTimeline.Totals(spans),
            [.. findings.Distinct()]
        );
    }
}
