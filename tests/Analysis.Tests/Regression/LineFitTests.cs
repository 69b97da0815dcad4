using LoadTest.Analysis;
using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class LineFitTests
{
    // JCGM 100:2008, table H.6: thermometer readings and observed corrections, reference temperature 20 °C.
    private static readonly double[] s_temperature =
    [
        21.521,
        22.012,
        22.512,
        23.003,
        23.507,
        23.999,
        24.513,
        25.002,
        25.503,
        26.010,
        26.511,
    ];

    private static readonly double[] s_correction =
    [
        -0.171,
        -0.169,
        -0.166,
        -0.159,
        -0.164,
        -0.165,
        -0.156,
        -0.157,
        -0.159,
        -0.161,
        -0.160,
    ];

    [Fact]
    public void Line_fit_matches_NIST_Norris_to_12_digits()
    {
        var set = CertifiedSet.Read("Norris");
        var fit = LineFit.Fit(set.X, set.Y);
        Digits.AtLeast(12, fit.Intercept.Value, set.Estimates[0], "B0");
        Digits.AtLeast(12, fit.Slope.Value, set.Estimates[1], "B1");
        Digits.AtLeast(12, fit.Intercept.StandardUncertainty, set.StandardDeviations[0], "s(B0)");
        Digits.AtLeast(12, fit.Slope.StandardUncertainty, set.StandardDeviations[1], "s(B1)");
        Digits.AtLeast(12, fit.ResidualStandardDeviation, set.ResidualStandardDeviation, "s");
    }

    [Fact]
    public void Line_fit_of_GUM_H3_reads_as_printed()
    {
        // JCGM 100:2008, H.3.3 to H.3.5 (published), full digits recomputed in exact arithmetic.
        var fit = LineFit.Fit(s_temperature.Select(t => t - 20).ToArray(), s_correction);
        Assert.Equal(-0.1712, fit.Intercept.Value, 4);
        Assert.Equal(0.0029, fit.Intercept.StandardUncertainty, 4);
        Assert.Equal(0.00218, fit.Slope.Value, 5);
        Assert.Equal(0.00067, fit.Slope.StandardUncertainty, 5);
        Assert.Equal(-0.930, fit.Correlation, 3);
        Assert.Equal(0.0035, fit.ResidualStandardDeviation, 4);
        Assert.Equal(-0.17120379013, fit.Intercept.Value, 11);
        Assert.Equal(0.00218269774, fit.Slope.Value, 11);
        var at30 = fit.Predict(10);
        Assert.Equal(-0.1494, at30.Value, 4);
        Assert.Equal(0.00413859575, at30.StandardUncertainty, 10);
        Assert.Equal(9, at30.DegreesOfFreedom);
    }

    [Fact]
    public void Line_fit_of_known_equal_uncertainties_reads_as_ISO_28037_page_13()
    {
        double[] x = [1, 2, 3, 4, 5, 6];
        double[] y = [3.3, 5.6, 7.1, 9.3, 10.7, 12.1];
        var fit = LineFit.Fit(x, y, Enumerable.Repeat(1 / 0.25, 6).ToArray(), VarianceBasis.Known);
        Assert.Equal(1.866667, fit.Intercept.Value, 6);
        Assert.Equal(1.757143, fit.Slope.Value, 6);
        Assert.Equal(0.4654747, fit.Intercept.StandardUncertainty, 7);
        Assert.Equal(0.1195229, fit.Slope.StandardUncertainty, 7);
        Assert.Equal(-0.050, fit.Covariance, 10);
        Assert.Equal(1.665, fit.WeightedSquares, 3);
        var back = fit.Inverse(new Estimate(10.5, 0.5));
        Assert.Equal(4.913, back.Value, 3);
        Assert.Equal(0.322, back.StandardUncertainty, 3);
    }

    [Fact]
    public void Line_fit_of_known_unequal_uncertainties_reads_as_ISO_28037_page_14()
    {
        double[] x = [1, 2, 3, 4, 5, 6];
        double[] y = [3.2, 4.3, 7.6, 8.6, 11.7, 12.8];
        double[] u = [0.5, 0.5, 0.5, 1, 1, 1];
        var fit = LineFit.Fit(x, y, u.Select(v => 1 / (v * v)).ToArray(), VarianceBasis.Known);
        Assert.Equal(0.8852, fit.Intercept.Value, 4);
        Assert.Equal(2.0570, fit.Slope.Value, 4);
        Assert.Equal(0.5297081, fit.Intercept.StandardUncertainty, 7);
        Assert.Equal(0.1778920, fit.Slope.StandardUncertainty, 7);
        Assert.Equal(-0.08227848, fit.Covariance, 8);
        Assert.Equal(4.131, fit.WeightedSquares, 3);
        var back = fit.Inverse(new Estimate(10.5, 1));
        Assert.Equal(4.674, back.Value, 3);
        Assert.Equal(0.533, back.StandardUncertainty, 3);
    }

    [Fact]
    public void Scatter_basis_ignores_the_scale_of_the_weights_and_known_basis_does_not()
    {
        double[] x = [1, 2, 3, 4];
        double[] y = [1.1, 1.9, 3.2, 3.9];
        double[] one = [1, 1, 1, 1];
        double[] hundred = [100, 100, 100, 100];
        Assert.Equal(
            LineFit.Fit(x, y, one).Slope.StandardUncertainty,
            LineFit.Fit(x, y, hundred).Slope.StandardUncertainty,
            14
        );
        Assert.Equal(
            LineFit.Fit(x, y, one, VarianceBasis.Known).Slope.StandardUncertainty,
            10 * LineFit.Fit(x, y, hundred, VarianceBasis.Known).Slope.StandardUncertainty,
            14
        );
    }

    [Fact]
    public void Prediction_band_is_wider_than_confidence_band_by_the_scatter()
    {
        var fit = LineFit.Fit(s_temperature, s_correction);
        var confidence = fit.ConfidenceBand(25, 0.95).HalfWidth;
        var prediction = fit.PredictionBand(25, 0.95).HalfWidth;
        // t0.975 for 9 degrees of freedom, 2.262157162740992 (Student t table 2.2622).
        var scatter = 2.262157162740992 * fit.ResidualStandardDeviation;
        Assert.Equal(prediction * prediction, (confidence * confidence) + (scatter * scatter), 12);
    }

    [Fact]
    public void Leverages_add_up_to_the_number_of_parameters() =>
        Assert.Equal(2, LineFit.Leverages(s_temperature).Sum(), 12);

    [Fact]
    public void Data_without_an_answer_are_refused_in_words()
    {
        double[] three = [1, 2, 3];
        Assert.Contains("needs at least 3", Refusal([1, 2], [1, 2]), StringComparison.Ordinal);
        Assert.Contains("at least two different", Refusal([2, 2, 2], three), StringComparison.Ordinal);
        Assert.Contains("value 2 of 3 is NaN", Refusal(three, [1, double.NaN, 3]), StringComparison.Ordinal);
        Assert.Contains(
            "∞",
            Refusal([1, double.PositiveInfinity, 3], three).Replace("Infinity", "∞", StringComparison.Ordinal),
            StringComparison.Ordinal
        );
        Assert.Contains("must be above 0", Refusal(three, three, [1, 0, 1]), StringComparison.Ordinal);
        Assert.Contains("differ by more", Refusal(three, three, [1, 1e-20, 1]), StringComparison.Ordinal);
        Assert.Contains("2 values were given where 3", Refusal(three, [1, 2]), StringComparison.Ordinal);
    }

    private static string Refusal(double[] x, double[] y, double[]? weights = null) =>
        Assert.ThrowsAny<ArgumentException>(() => LineFit.Fit(x, y, weights ?? [])).Message;
}
