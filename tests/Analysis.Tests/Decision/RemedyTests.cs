using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Decision;

public class RemedyTests
{
    private static Budget Budget(double scatter, double meter) =>
        LoadTest.Analysis.Uncertainty.Budget.Linear(
            "y",
            "V",
            0.9,
            [
                UncertaintyInput.FromScatter("scatter", new Estimate(0.9, scatter), readings: 10),
                UncertaintyInput.FromStandard("meter", 0.9, meter) with
                {
                    Instrument = "DMM-1",
                },
            ]
        );

    [Fact]
    public void More_readings_are_counted_where_scatter_is_what_is_too_large()
    {
        // w = U with k = 2: 0.1 V inside needs u = 0.05; meter 0.03 leaves 0.04 for a scatter of 0.08 from 10 readings: 4 × as many.
        var budget = Budget(0.08, 0.03);
        var judgement = Conformity.Judge(budget, ToleranceLimit.AtMost(1, "V"), DecisionRule.GuardBandU);
        var remedy = Remedy.For(judgement, budget)!;
        Assert.Equal(0.05, remedy.NeededUncertainty!.Value, 6);
        Assert.InRange(remedy.MoreReadings!.Value, 40, 41);
        Assert.Null(remedy.LineNeeded);
    }

    [Fact]
    public void The_meter_is_named_where_it_is_what_is_too_coarse()
    {
        var budget = Budget(0.03, 0.08);
        var judgement = Conformity.Judge(budget, ToleranceLimit.AtMost(1, "V"), DecisionRule.GuardBandU);
        var remedy = Remedy.For(judgement, budget)!;
        Assert.Null(remedy.MoreReadings);
        Assert.Equal(0.04, remedy.LineNeeded!.Value, 6);
        Assert.Contains("DMM-1", remedy.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void A_value_on_the_limit_cannot_be_decided_and_a_decided_one_needs_nothing()
    {
        var budget = Budget(0.03, 0.03);
        var onLimit = Conformity.Judge(budget, ToleranceLimit.AtMost(0.9, "V"), DecisionRule.GuardBandU);
        Assert.Null(Remedy.For(onLimit, budget)!.NeededUncertainty);
        var pass = Conformity.Judge(budget, ToleranceLimit.AtMost(2, "V"), DecisionRule.GuardBandU);
        Assert.Null(Remedy.For(pass, budget));
    }
}
