using System.Collections.Immutable;
using LoadTest.Records.Measuring;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records;

/// <summary>What the readings of a journal say about its plan.</summary>
internal sealed record Conclusions(
    ImmutableArray<GroupResult> Groups,
    ImmutableArray<AskedResult> Asked,
    string Rule,
    double Coverage,
    ImmutableArray<string> Assumptions,
    RunTrace Volts,
    RunTrace Amperes
)
{
    /// <summary>Without a plan nothing can be said.</summary>
    public static Conclusions None { get; } = new([], [], "", 0.95, [], RunTrace.Empty, RunTrace.Empty);

    /// <summary>Every judged result, in order of the plan.</summary>
    public ImmutableArray<JudgedResult> Judged =>
        [.. Asked.Select(a => a.Judged).OfType<JudgedResult>(), .. Groups.SelectMany(g => g.Judged)];

    /// <summary>Measures, analyses and judges.</summary>
    public static Conclusions Of(RunPlan plan, IReadOnlyList<JournalEntry> entries, DateOnly day)
    {
        var judge = new Judge(plan.Profile.Decision);
        var measurer = new PointMeasurer(plan.Bench, entries, day, judge.Coverage);
        var analysis = new GroupAnalysis(plan, measurer, judge);
        var shunt = plan.Bench.ReferenceShunt;
        // The groups first: measuring them finds what had to be assumed.
        var groups = Supersession.Mark([.. plan.Groups.Select(analysis.Of)]);
        return new Conclusions(
            groups,
            [.. AskedReader.Of(plan, entries, judge)],
            judge.Rule,
            judge.Coverage,
            [.. measurer.Assumptions],
            RunTrace.Of(measurer.Readings(ChannelRole.StudVolts), 1),
            RunTrace.Of(
                measurer.Readings(ChannelRole.ReferenceShuntDrop),
                shunt.RatedAmperes.Value / shunt.RatedVolts.Value
            )
        );
    }
}
