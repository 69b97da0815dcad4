using LoadTest.Analysis.Decision;
using LoadTest.Sequencer.Journal;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SystemTests.Stack;

/// <summary>What ships can be used as it ships: every profile comes to a verdict from numbers.</summary>
public sealed class ShippedVerdictTests
{
    private static readonly string Profiles = Path.Combine(AppContext.BaseDirectory, "profiles");

    /// <summary>Every shipped profile, found in the folder: one that is added is tried too.</summary>
    public static TheoryData<string> Shipped =>
        [
            .. Directory
                .GetFiles(Profiles, "*.yaml")
                .Select(Path.GetFileNameWithoutExtension)
                .OfType<string>()
                .Order(StringComparer.Ordinal),
        ];

    [Theory]
    [MemberData(nameof(Shipped))]
    public void Every_limit_of_a_shipped_profile_gets_a_verdict_from_numbers_and_a_healthy_unit_passes(string profile)
    {
        using var run = Run(profile, Healthy);

        Assert.Equal(Outcome.Complete, run.Closed.Outcome);
        var record = run.Record;
        Assert.NotEmpty(record.Judged);
        Assert.All(
            record.Judged,
            j => Assert.True(j.Judgement is { Estimate: not null } and not { Verdict: Verdict.NotTested }, j.Name)
        );
        Assert.Equal((OverallVerdict.Pass, record.Overall.Words), (record.Overall.Verdict, record.Overall.Words));
    }

    [Theory]
    [InlineData("short-check")]
    [InlineData("return-acceptance")]
    public void Unit_whose_shunt_reads_1_8_percent_low_fails_by_its_ratio_and_by_nothing_else(string profile)
    {
        using var run = StackRun.Of(profile);

        var failed = Assert.Single(run.Record.Judged, j => j.Judgement.Verdict != Verdict.Pass);
        Assert.Equal(
            (Verdict.Fail, Sequencer.Profiles.Measurand.ShuntRatio),
            (failed.Judgement.Verdict, failed.Measurand)
        );
    }

    private static StackRun Run(string profile, Func<WorldFile, WorldFile> world)
    {
        var text = StackRun.Shipped(profile);
        return text.Contains("auxiliary load", StringComparison.Ordinal)
            ? StackRun.Workshop(text, world: world(WorldFile.Workshop()))
            : StackRun.Of(profile, world: world(WorldFile.Demo()));
    }

    // The demo's unit as it leaves the shop: its sense lead where it belongs.
    private static WorldFile Healthy(WorldFile world) =>
        world with
        {
            UnitShunt = world.UnitShunt with { RatioErrorPercent = 0.06 },
        };
}
