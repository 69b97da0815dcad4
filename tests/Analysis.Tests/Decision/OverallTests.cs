using LoadTest.Analysis.Decision;

namespace LoadTest.AnalysisTests.Decision;

public class OverallTests
{
    private static OverallVerdict Of(params (Verdict Verdict, bool Required)[] items) =>
        Overall.Of([.. items.Select((i, n) => new JudgedItem($"item {n}", i.Verdict, i.Required))]).Verdict;

    [Fact]
    public void One_fail_fails_the_run_whatever_else_there_is()
    {
        Assert.Equal(
            OverallVerdict.Fail,
            Of((Verdict.Pass, true), (Verdict.Undecided, true), (Verdict.NotTested, true), (Verdict.Fail, false))
        );
    }

    [Fact]
    public void Undecided_comes_before_incomplete()
    {
        Assert.Equal(OverallVerdict.Undecided, Of((Verdict.NotTested, true), (Verdict.Undecided, true)));
    }

    [Fact]
    public void A_required_item_not_tested_leaves_the_run_incomplete()
    {
        Assert.Equal(OverallVerdict.Incomplete, Of((Verdict.Pass, true), (Verdict.NotTested, true)));
        Assert.Equal(OverallVerdict.Pass, Of((Verdict.Pass, true), (Verdict.NotTested, false)));
    }

    [Fact]
    public void Nothing_judged_is_never_a_pass()
    {
        Assert.Equal(OverallVerdict.Incomplete, Of());
        Assert.Equal(OverallVerdict.Incomplete, Of((Verdict.NotTested, false)));
    }

    [Fact]
    public void The_names_that_decided_it_are_said()
    {
        var overall = Overall.Of([new("shunt ratio", Verdict.Fail), new("open circuit", Verdict.Pass)]);
        Assert.Equal(["shunt ratio"], overall.Because);
        Assert.Contains("shunt ratio", overall.Words, StringComparison.Ordinal);
    }
}
