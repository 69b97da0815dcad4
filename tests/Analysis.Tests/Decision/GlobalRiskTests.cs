using LoadTest.Analysis;
using LoadTest.Analysis.Decision;

namespace LoadTest.AnalysisTests.Decision;

public class GlobalRiskTests
{
    [Theory]
    [InlineData(0, 0.018942207, 0.0372078)]
    [InlineData(0.08, 0.00046863359, 0.24766964)]
    [InlineData(-0.08, 0.06940461, 0.0006806)]
    public void Precision_resistors_of_JCGM_106_have_their_risks(double w, double consumer, double producer)
    {
        // JCGM 106:2012, 9.5.4-type example, inputs from memory: 1500 ± 0.2 Ω, u₀ 0.12, u_m 0.04; risks computed elsewhere.
        var found = GlobalRisk.Of(new Estimate(1500, 0.12), 0.04, ToleranceLimit.PlusMinus(1500, 0.2, "Ω"), w);
        Assert.Equal(0.9044193, found.Conforming, 7);
        Assert.Equal(consumer, found.FalseAccept, 8);
        Assert.Equal(producer, found.FalseReject, 7);
    }

    [Fact]
    public void A_guard_band_lowers_the_consumers_risk_and_raises_the_producers()
    {
        var limit = ToleranceLimit.AtLeast(10);
        var plain = GlobalRisk.Of(new Estimate(10.5, 0.5), 0.1, limit, 0);
        var guarded = GlobalRisk.Of(new Estimate(10.5, 0.5), 0.1, limit, 0.2);
        Assert.True(guarded.FalseAccept < plain.FalseAccept);
        Assert.True(guarded.FalseReject > plain.FalseReject);
        Assert.Throws<ArgumentException>(() => GlobalRisk.Of(new Estimate(0, 1), 0, limit, 0));
        Assert.Throws<ArgumentException>(() =>
            GlobalRisk.Of(new Estimate(0, 1), 0.1, ToleranceLimit.PlusMinus(0, 1), 1.1)
        );
    }

    [Fact]
    public void The_guard_band_for_a_risk_is_the_one_that_has_it()
    {
        // JCGM 106:2012, 9.5.4-type example as above, read backwards; 2 % is ANSI/NCSL Z540.3, 5.3 b.
        var limit = ToleranceLimit.PlusMinus(1500, 0.2, "Ω");
        Assert.Equal(0.08, GlobalRisk.GuardBandFor(new(1500, 0.12), 0.04, limit, 0.00046863359), 7);
        Assert.Equal(0, GlobalRisk.GuardBandFor(new(1500, 0.12), 0.04, limit, 0.02));
        var oneSided = GlobalRisk.GuardBandFor(new(10.5, 0.5), 0.1, ToleranceLimit.AtLeast(10), 0.001);
        Assert.Equal(0.001, GlobalRisk.Of(new(10.5, 0.5), 0.1, ToleranceLimit.AtLeast(10), oneSided).FalseAccept, 9);
        Assert.Throws<ArgumentException>(() => GlobalRisk.GuardBandFor(new(1500, 0.12), 0.04, limit, 0));
        Assert.Throws<ArgumentException>(() => GlobalRisk.GuardBandFor(new(1500, 0), 0.04, limit, 0.02));
    }

    [Fact]
    public void A_rule_by_global_risk_passes_within_its_guard_band_and_no_further()
    {
        var limit = ToleranceLimit.PlusMinus(1500, 0.2, "Ω");
        var rule = DecisionRule.GlobalRisk(new Estimate(1500, 0.12), 0.00046863359);
        Assert.Equal(Verdict.Pass, Conformity.Judge(new(1500.1199, 0.04), 2, limit, rule).Verdict);
        var near = Conformity.Judge(new(1500.1201, 0.04), 2, limit, rule);
        Assert.Equal(Verdict.Undecided, near.Verdict);
        Assert.Equal(0.08, near.GuardBand, 7);
        Assert.Equal(Verdict.Fail, Conformity.Judge(new(1500.2801, 0.04), 2, limit, rule).Verdict);
        Assert.Contains("global risk of at most 0.04686 %", near.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Counting_items_agrees_with_the_integral()
    {
        // A million invented items, measured: the same fractions within five standard deviations of the count.
        var random = new Random(5);
        var limit = ToleranceLimit.PlusMinus(0, 1);
        var (accepted, rejected, n) = (0, 0, 1_000_000);
        for (var i = 0; i < n; i++)
        {
            var item = 0.1 + 0.6 * Gauss();
            var reading = item + 0.2 * Gauss();
            accepted += limit.Allows(item) || Math.Abs(reading) > 0.9 ? 0 : 1;
            rejected += limit.Allows(item) && Math.Abs(reading) > 0.9 ? 1 : 0;
        }

        var found = GlobalRisk.Of(new Estimate(0.1, 0.6), 0.2, limit, 0.1);
        Assert.Equal(found.FalseAccept, accepted / (double)n, 5 * Math.Sqrt(found.FalseAccept / n));
        Assert.Equal(found.FalseReject, rejected / (double)n, 5 * Math.Sqrt(found.FalseReject / n));

        double Gauss() =>
            Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
    }
}
