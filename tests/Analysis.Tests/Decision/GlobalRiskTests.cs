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
}
