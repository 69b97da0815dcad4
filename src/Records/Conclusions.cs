using System.Collections.Immutable;
using LoadTest.Analysis.Decision;
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

    /// <summary>Measures, analyses and judges what the trusted frames tell for certain; the rest is unknown.</summary>
    public static Conclusions Of(RunPlan plan, TrustedPart trusted, DateOnly day)
    {
        var judge = new Judge(plan.Profile.Decision);
        var withheld = plan
            .Steps.OfType<PointStep>()
            .Where(p => !trusted.HasReadings(p.Number))
            .Select(p => p.Group)
            .ToHashSet();
        var entries = Telling(plan, trusted, withheld);
        var measurer = new PointMeasurer(plan.Bench, entries, day, judge.Coverage);
        var analysis = new GroupAnalysis(plan, measurer, judge);
        var shunt = plan.Bench.ReferenceShunt;
        // The groups first: measuring them finds what had to be assumed.
        var assumptions = new List<string>();
        var groups = Supersession.Mark([
            .. plan.Groups.Select(g => withheld.Contains(g.Number) ? Withheld(analysis.Of(g)) : analysis.Of(g)),
        ]);
        ImmutableArray<AskedResult> asked =
        [
            .. AskedReader
                .Of(plan, entries, judge, day, assumptions)
                .Select(a => trusted.HasEnded(a.Step.Number) ? a : Withheld(a)),
        ];
        return new Conclusions(
            groups,
            asked,
            judge.Rule,
            judge.Coverage,
            [.. measurer.Assumptions.Union(assumptions, StringComparer.Ordinal)],
            RunTrace.Of(measurer.Readings(ChannelRole.StudVolts), 1),
            RunTrace.Of(
                measurer.Readings(ChannelRole.ReferenceShuntDrop),
                shunt.RatedAmperes.Value / shunt.RatedVolts.Value
            )
        );
    }

    // A group some of whose points are missing tells nothing: zero readings, fits and supersession rest on all of them.
    private static IReadOnlyList<JournalEntry> Telling(RunPlan plan, TrustedPart trusted, HashSet<int> withheld)
    {
        if (withheld.Count == 0)
            return trusted.Journal.Entries;
        var steps = plan
            .Steps.OfType<PointStep>()
            .Where(p => withheld.Contains(p.Group))
            .Select(p => p.Number)
            .ToHashSet();
        return [.. trusted.Journal.Entries.Where(e => e is not PointMeasured window || !steps.Contains(window.Step))];
    }

    private static GroupResult Withheld(GroupResult group) =>
        group with
        {
            IsKnown = false,
            Points =
            [
                .. group.Points.Select(p =>
                    p with
                    {
                        Window = null,
                        PanelAmperes = null,
                        PanelVolts = null,
                        Findings = [],
                    }
                ),
            ],
            Judged = [.. group.Judged.Select(Withheld)],
            Findings = [],
            Curve = null,
            Shunt = null,
            Agreement = [],
            Drift = null,
            Heat = null,
            Transient = null,
        };

    private static AskedResult Withheld(AskedResult asked) =>
        asked with
        {
            IsKnown = false,
            At = null,
            Answer = null,
            Judged = asked.Judged is { } judged ? Withheld(judged) : null,
        };

    private static JudgedResult Withheld(JudgedResult judged) =>
        judged with
        {
            Judgement = Conformity.Unknown(
                judged.Judgement.Limit,
                "The journal's frames on it are missing or damaged."
            ),
            Budget = null,
            IsSuperseded = null,
        };
}
