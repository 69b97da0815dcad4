using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class BothAxesTests
{
    // Pearson's data (1901) with York's weights (1966), as given in York and others (2004).
    private static readonly double[] s_x = [0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
    private static readonly double[] s_y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
    private static readonly double[] s_wx = [1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1];
    private static readonly double[] s_wy = [1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500];

    private static double[] Sigma(double[] weights) => Array.ConvertAll(weights, w => 1 / Math.Sqrt(w));

    [Fact]
    public void York_fit_of_Pearson_data_reads_as_published()
    {
        // Slope and intercept published (Neri and others, 1989): −0.480533407, 5.47991022. S/(n − 2) 1.4833 published. Standard errors at
        // the adjusted points: orthogonal distance regression of the same data (reference library), 0.2949707, 0.0579850.
        var fit = YorkFit.Fit(s_x, Sigma(s_wx), s_y, Sigma(s_wy));
        Digits.AtLeast(9, fit.Slope.Value, -0.480533407);
        Digits.AtLeast(8.9, fit.Intercept.Value, 5.47991022);
        Digits.AtLeast(13, fit.Slope.Value, -0.480533407446202);
        Assert.Equal(11.8663531941, fit.WeightedSquares, 9);
        Assert.Equal(1.4833, fit.WeightedSquares / 8, 4);
        Assert.Equal(0.15727, fit.ChanceOfScatter!.Value, 5);
        Digits.AtLeast(8, fit.Intercept.StandardUncertainty, 0.29497073549310865);
        Digits.AtLeast(8, fit.Slope.StandardUncertainty, 0.05798500900077444);
        Assert.Equal(-0.016472544658, fit.Covariance, 9);
    }

    [Fact]
    public void York_fit_names_its_conventions_and_they_differ()
    {
        var observed = YorkFit.Fit(s_x, Sigma(s_wx), s_y, Sigma(s_wy), convention: ErrorConvention.ObservedPoints);
        Assert.Equal(0.29712580, observed.Intercept.StandardUncertainty, 7);
        Assert.Equal(0.05830210, observed.Slope.StandardUncertainty, 7);
        var scaled = YorkFit.Fit(s_x, Sigma(s_wx), s_y, Sigma(s_wy), variances: VarianceBasis.FromScatter);
        Assert.Equal(0.3592465225, scaled.Intercept.StandardUncertainty, 8);
        Assert.Equal(0.0706202695, scaled.Slope.StandardUncertainty, 8);
        Assert.Equal(8, scaled.Slope.DegreesOfFreedom);
    }

    [Fact]
    public void York_fit_of_rounded_sigmas_agrees_with_orthogonal_distance_regression()
    {
        // Public test of an orthogonal-distance wrapper on the same data with rounded sigmas. Its two printed slopes, of y on x and of x
        // on y, are reciprocal only to 5.9 digits, so it can be asked for no more; ours are reciprocal to 13.
        double[] sx = [0.03, 0.03, 0.04, 0.035, 0.07, 0.11, 0.13, 0.22, 0.74, 1.0];
        double[] sy = [1.0, 0.74, 0.5, 0.35, 0.22, 0.22, 0.12, 0.12, 0.1, 0.04];
        var fit = YorkFit.Fit(s_x, sx, s_y, sy, variances: VarianceBasis.FromScatter);
        Digits.AtLeast(5.9, fit.Intercept.Value, 5.476740029923167);
        Digits.AtLeast(5.9, fit.Slope.Value, -0.4796082367610305);
        Digits.AtLeast(5.5, fit.Intercept.StandardUncertainty, 0.3590121690702467);
        Digits.AtLeast(5.5, fit.Slope.StandardUncertainty, 0.0706291186037444);
        var swapped = YorkFit.Fit(s_y, sy, s_x, sx, variances: VarianceBasis.FromScatter);
        Digits.AtLeast(5.9, swapped.Intercept.Value, 11.419202241078123);
        Digits.AtLeast(5.9, swapped.Slope.Value, -2.0850374506165474);
        Digits.AtLeast(13, swapped.Slope.Value, 1 / fit.Slope.Value);
    }

    [Fact]
    public void York_fit_reads_as_ISO_28037_page_21()
    {
        double[] x = [1.2, 1.9, 2.9, 4.0, 4.7, 5.9];
        double[] y = [3.4, 4.4, 7.2, 8.5, 10.8, 13.5];
        double[] ux = [0.2, 0.2, 0.2, 0.2, 0.2, 0.2];
        double[] uy = [0.2, 0.2, 0.2, 0.4, 0.4, 0.4];
        var fit = YorkFit.Fit(x, ux, y, uy);
        Assert.Equal(0.5788, fit.Intercept.Value, 4);
        Assert.Equal(0.4764, fit.Intercept.StandardUncertainty, 4);
        Assert.Equal(2.1597, fit.Slope.Value, 4);
        Assert.Equal(0.1355, fit.Slope.StandardUncertainty, 4);
        Assert.Equal(-0.0577, fit.Covariance, 4);
        Assert.Equal(2.743, fit.WeightedSquares, 3);
    }

    [Fact]
    public void York_fit_without_errors_in_x_is_weighted_least_squares()
    {
        double[] ux = Enumerable.Repeat(1e-9, 10).ToArray();
        var york = YorkFit.Fit(s_x, ux, s_y, Sigma(s_wy));
        var plain = LineFit.Fit(s_x, s_y, s_wy, VarianceBasis.Known);
        Digits.AtLeast(10, york.Slope.Value, plain.Slope.Value);
        Digits.AtLeast(10, york.Intercept.StandardUncertainty, plain.Intercept.StandardUncertainty);
    }

    [Theory]
    [InlineData(1, -0.5455611975209645, 5.784043774530085)]
    [InlineData(0.25, -0.5539045558029246, 5.815915403167173)]
    public void Deming_fit_of_Pearson_data_is_the_closed_form(double ratio, double slope, double intercept)
    {
        // δ = 1 is Pearson's own line of 1901, −0.546 and 5.784 (from memory); digits from the closed form in exact arithmetic.
        var fit = DemingFit.Fit(s_x, s_y, ratio);
        Digits.AtLeast(12, fit.Slope.Value, slope);
        Digits.AtLeast(12, fit.Intercept.Value, intercept);
        Digits.AtLeast(13, DemingFit.Slope(s_x, s_y, ratio), slope);
    }

    [Fact]
    public void Theil_Sen_line_of_Pearson_data_is_the_median_of_45_slopes()
    {
        // Computed from the definition (45 pairwise slopes) by a reference library.
        var fit = TheilSenFit.Fit(s_x, s_y);
        Assert.Equal(-0.5357142857142858, fit.Slope, 14);
        Assert.Equal(5.6625, fit.Intercept, 14);
        Assert.Equal(-0.6458333333, fit.SlopeInterval.Lower, 9);
        Assert.Equal(-0.4705882353, fit.SlopeInterval.Upper, 9);
    }

    [Fact]
    public void Data_without_an_answer_are_refused_in_words()
    {
        double[] three = [1, 2, 3];
        double[] ones = [1, 1, 1];
        Assert.ThrowsAny<ArgumentException>(() => YorkFit.Fit(three, [1, 0, 1], three, ones));
        Assert.ThrowsAny<ArgumentException>(() => YorkFit.Fit(ones, ones, three, ones));
        Assert.ThrowsAny<ArgumentException>(() => YorkFit.Fit(three, ones, [1, double.NaN, 2], ones));
        Assert.ThrowsAny<ArgumentException>(() => YorkFit.Fit(three, ones, three, ones, [0, 1, 0]));
        Assert.ThrowsAny<ArgumentException>(() => DemingFit.Fit(three, three, 0));
        Assert.ThrowsAny<ArgumentException>(() => TheilSenFit.Fit(ones, three));
    }
}
