using LoadTest.Analysis.Shunts;

namespace LoadTest.AnalysisTests.Shunts;

public class ShuntWarmUpTests
{
    private static double[] Times => [.. Enumerable.Range(0, 31).Select(i => 20.0 * i)];

    [Fact]
    public void A_warming_shunt_gives_its_end_its_drift_and_its_time_constant()
    {
        // Invented: 0.12010 mV/A at the end, 0.08 % of it gained with τ = 180 s, noise of ± 0.001 %.
        var random = new Random(4);
        double[] ratios =
        [
            .. Times.Select(t => 0.12010 * (1 - 0.0008 * Math.Exp(-t / 180) + 1e-5 * (2 * random.NextDouble() - 1))),
        ];
        var found = ShuntWarmUp.Fit(Times, ratios);
        var (final, drift, tau) = (found.Final!.Value, found.DriftPercent!.Value, found.TimeConstantSeconds!.Value);
        Assert.InRange(Math.Abs(final.Value - 0.12010), 0, 3 * final.StandardUncertainty);
        Assert.InRange(Math.Abs(drift.Value - 0.08), 0, 3 * drift.StandardUncertainty);
        Assert.InRange(Math.Abs(tau.Value - 180), 0, 3 * tau.StandardUncertainty);
        Assert.InRange(tau.StandardUncertainty, 1, 20);
    }

    [Fact]
    public void Scatter_and_steadiness_have_no_warm_up_curve()
    {
        Assert.Null(ShuntWarmUp.Fit(Times, [.. Times.Select(_ => 0.12)]).Final);
        var random = new Random(9);
        double[] noise = [.. Times.Select(_ => 0.12 * (1 + 1e-4 * (random.NextDouble() - 0.5)))];
        Assert.Null(ShuntWarmUp.Fit(Times, noise).Final);
    }

    [Fact]
    public void Too_few_missing_or_unordered_readings_are_refused()
    {
        Assert.Throws<ArgumentException>(() => ShuntWarmUp.Fit([1, 2, 3, 4, 5], [1, 1, 1, 1, 1]));
        Assert.Throws<ArgumentException>(() => ShuntWarmUp.Fit([1, 2, 3, 4, 5, 5], [1, 1, 1, 1, 1, 2]));
        Assert.Throws<ArgumentException>(() => ShuntWarmUp.Fit([1, 2, 3, 4, 5, 6], [1, 1, 1, 1, 1, double.NaN]));
    }
}
