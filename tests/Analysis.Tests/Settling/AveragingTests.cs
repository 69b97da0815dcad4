using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Settling;
using LoadTest.AnalysisTests.Regression;

namespace LoadTest.AnalysisTests.Settling;

public class AveragingTests
{
    [Fact]
    public void GUM_H2_voltages_average_to_their_printed_mean_and_uncertainty()
    {
        // JCGM 100:2008, table H.2 (read in a public transcription): 4.9990 V, u = 0.0032 V.
        double[] volts = [5.007, 4.994, 5.005, 4.990, 4.999];
        var mean = Averaging.Mean(volts);
        Assert.Equal(4.9990, mean.Mean, 12);
        Assert.Equal(0.0032093613071761794, mean.Estimate!.Value.StandardUncertainty, 14);
        Assert.Equal(4, mean.Estimate.Value.DegreesOfFreedom);
        Assert.Equal(0, mean.Outliers);
    }

    [Fact]
    public void Michelson_lag_one_autocorrelation_formula_holds_on_a_set_worked_by_hand()
    {
        // r1 = Σ(x_i − x̄)(x_{i+1} − x̄)/Σ(x_i − x̄)² of 1 2 3 4: (−1.5·−0.5 + −0.5·0.5 + 0.5·1.5)/5 = 0.25.
        Assert.Equal(0.25, Averaging.Autocorrelation([1, 2, 3, 4], 1), 15);
    }

    [Fact]
    public void Readings_that_lean_on_each_other_count_for_fewer()
    {
        // AR(1) with ρ = 0.9: n_eff/n tends to (1 − ρ)/(1 + ρ) = 0.0526 (Bayley and Hammersley 1946, from memory).
        var random = new Random(11);
        var x = new double[20000];
        for (var i = 1; i < x.Length; i++)
            x[i] = 0.9 * x[i - 1] + Gaussian(random);
        var mean = Averaging.Mean(x);
        Assert.InRange(mean.EffectiveCount / x.Length, 0.045, 0.060);
        Assert.InRange(mean.Lag1, 0.88, 0.92);
    }

    [Theory]
    [InlineData(0.0)]
    [InlineData(0.5)]
    public void The_interval_of_the_mean_covers_at_about_its_stated_rate_under_autocorrelation(double rho)
    {
        // 4000 windows of 60 readings; t at ν = n_eff − 1. The estimate of n_eff is itself uncertain: 93 % to 97 % asked for independent
        // readings; for ρ = 0.5 at least 90 %, where s/√n would cover only about 74 %.
        var random = new Random(5);
        int covered = 0,
            naive = 0;
        const int Windows = 4000;
        for (var w = 0; w < Windows; w++)
        {
            var x = new double[60];
            var state = Gaussian(random) / Math.Sqrt(1 - rho * rho);
            for (var i = 0; i < x.Length; i++)
            {
                x[i] = state;
                state = rho * state + Gaussian(random);
            }
            var mean = Averaging.Mean(x);
            var e = mean.Estimate!.Value;
            covered += Math.Abs(e.Value) <= StudentT.TwoSided(0.95, e.DegreesOfFreedom) * e.StandardUncertainty ? 1 : 0;
            naive += Math.Abs(e.Value) <= 2.0 * mean.StandardDeviation / Math.Sqrt(60) ? 1 : 0;
        }
        Assert.InRange((double)covered / Windows, rho == 0 ? 0.93 : 0.90, 0.975);
        if (rho > 0)
            Assert.InRange((double)naive / Windows, 0, 0.80);
    }

    [Fact]
    public void One_reading_has_a_mean_but_cannot_say_how_well_it_agrees()
    {
        var mean = Averaging.Mean([5.0]);
        Assert.Equal(5.0, mean.Mean);
        Assert.Null(mean.Estimate);
        Assert.Contains("too few", mean.Describe("V"), StringComparison.Ordinal);
    }

    [Fact]
    public void Readings_that_do_not_vary_have_no_type_A_uncertainty()
    {
        var mean = Averaging.Mean([5.0, 5.0, 5.0, 5.0]);
        Assert.Equal(0, mean.Estimate!.Value.StandardUncertainty);
        Assert.Equal(4, mean.EffectiveCount);
    }

    [Fact]
    public void Missing_readings_are_refused_by_place()
    {
        var error = Assert.Throws<ArgumentException>(() => Averaging.Mean([1, 2, double.NaN]));
        Assert.Contains("reading 3 of 3", error.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => Averaging.Mean([]));
    }

    [Fact]
    public void NumAcc4_keeps_mean_and_deviation_to_more_than_eight_digits()
    {
        // NIST StRD NumAcc4, built by its published rule: 10 000 000.2, then 10 000 000.1 and .3 alternating, n = 1001.
        var x = new double[1001];
        x[0] = 10000000.2;
        for (var i = 1; i < x.Length; i++)
            x[i] = i % 2 == 1 ? 10000000.1 : 10000000.3;
        var mean = Averaging.Mean(x);
        Digits.AtLeast(15, mean.Mean, 10000000.2, "mean");
        Digits.AtLeast(8, mean.StandardDeviation, 0.1, "s");
        Digits.AtLeast(8, mean.Lag1, -0.999, "r1");
    }

    [Theory]
    [InlineData("Lottery", 14)]
    [InlineData("Mavro", 12)]
    [InlineData("Michelso", 13)]
    public void Series_of_NIST_keep_mean_deviation_and_autocorrelation(string name, double digits)
    {
        // NIST StRD univariate sets, certified values in their headers.
        var set = CertifiedSet.Read(name);
        var mean = Averaging.Mean(set.Y);
        Digits.AtLeast(14.5, mean.Mean, set.Mean, "mean");
        Digits.AtLeast(digits, mean.StandardDeviation, set.SampleDeviation, "s");
        Digits.AtLeast(digits, mean.Lag1, set.LagOne, "r1");
    }

    [Fact]
    public void An_outlier_is_flagged_and_still_averaged()
    {
        double[] x = [10.0, 10.1, 9.9, 10.0, 10.2, 9.8, 12.0];
        Assert.Equal([6], Outliers.Hampel(x));
        var mean = Averaging.Mean(x);
        Assert.Equal(1, mean.Outliers);
        Assert.Equal(72.0 / 7, mean.Mean, 12);
    }

    [Fact]
    public void A_meter_that_shows_two_digits_alternately_flags_nothing()
    {
        Assert.Empty(Outliers.Hampel([5.00, 5.00, 5.00, 5.01, 5.00, 5.00, 5.01]));
    }

    private static double Gaussian(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
