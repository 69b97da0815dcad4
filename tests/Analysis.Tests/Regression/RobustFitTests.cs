using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class RobustFitTests
{
    // Brownlee's stack-loss data (1960): air flow, water temperature, acid concentration, loss. In every R distribution.
    private static readonly double[,] s_stack =
    {
        { 80, 27, 89, 42 },
        { 80, 27, 88, 37 },
        { 75, 25, 90, 37 },
        { 62, 24, 87, 28 },
        { 62, 22, 87, 18 },
        { 62, 23, 87, 18 },
        { 62, 24, 93, 19 },
        { 62, 24, 93, 20 },
        { 58, 23, 87, 15 },
        { 58, 18, 80, 14 },
        { 58, 18, 89, 14 },
        { 58, 17, 88, 13 },
        { 58, 18, 82, 11 },
        { 58, 19, 93, 12 },
        { 50, 18, 89, 8 },
        { 50, 18, 86, 7 },
        { 50, 19, 72, 8 },
        { 50, 19, 79, 8 },
        { 50, 20, 80, 9 },
        { 56, 20, 82, 15 },
        { 70, 20, 91, 15 },
    };

    // Belgian phone calls, 1950 to 1973 (Rousseeuw and Leroy, 1987).
    private static readonly double[] s_calls =
    [
        4.4,
        4.7,
        4.7,
        5.9,
        6.6,
        7.3,
        8.1,
        8.8,
        10.6,
        12.0,
        13.5,
        14.9,
        16.1,
        21.2,
        119.0,
        124.0,
        142.0,
        159.0,
        182.0,
        212.0,
        43.0,
        24.0,
        27.0,
        29.0,
    ];

    private static double[] Year => Enumerable.Range(50, 24).Select(y => (double)y).ToArray();

    private static (double[] Design, double[] Y) Stack()
    {
        var design = new double[21 * 4];
        var y = new double[21];
        for (var i = 0; i < 21; i++)
        {
            design[4 * i] = 1;
            for (var j = 0; j < 3; j++)
            {
                design[(4 * i) + j + 1] = s_stack[i, j];
            }

            y[i] = s_stack[i, 3];
        }

        return (design, y);
    }

    [Fact]
    public void Huber_fit_of_stack_loss_agrees_with_the_reference_program()
    {
        // R 4.2.2, MASS 7.3, rlm, run to full convergence.
        var (design, y) = Stack();
        var fit = RobustFit.Fit(design, 4, y, RobustLoss.Huber);
        double[] expected = [-41.026485373295, 0.829385770254, 0.926059415549, -0.127846317965];
        for (var j = 0; j < 4; j++)
        {
            Digits.AtLeast(9, fit.Coefficients[j].Value, expected[j]);
        }

        Digits.AtLeast(9, fit.Scale, 2.44048904599);
    }

    [Fact]
    public void Bisquare_fit_of_stack_loss_agrees_with_the_reference_program()
    {
        // R 4.2.2, MASS 7.3, rlm with bisquare from ordinary least squares, run to full convergence.
        var (design, y) = Stack();
        var fit = RobustFit.Fit(design, 4, y, RobustLoss.Bisquare);
        double[] expected = [-42.285321536491, 0.927558992802, 0.65071119839, -0.112333123036];
        for (var j = 0; j < 4; j++)
        {
            Digits.AtLeast(8, fit.Coefficients[j].Value, expected[j]);
        }

        Digits.AtLeast(8, fit.Scale, 2.28185331457);
    }

    [Fact]
    public void Huber_fit_of_phone_calls_agrees_with_the_reference_program()
    {
        // R 4.2.2, MASS 7.3, rlm, run to full convergence. Printed textbook values stop at a change of 10⁻⁴: −102.6222, 2.0414.
        var fit = RobustFit.Line(Year, s_calls, RobustLoss.Huber);
        Digits.AtLeast(9, fit.Coefficients[0].Value, -102.52963811901);
        Digits.AtLeast(9, fit.Coefficients[1].Value, 2.03960046574);
        Digits.AtLeast(8, fit.Coefficients[0].StandardUncertainty, 26.546160808);
        Digits.AtLeast(8, fit.Coefficients[1].StandardUncertainty, 0.428936382);
        Digits.AtLeast(9, fit.Scale, 9.00902830605);
    }

    [Fact]
    public void Ordinary_fit_of_stack_loss_agrees_with_the_reference_program()
    {
        // R 4.2.2, lm.
        var (design, y) = Stack();
        var fit = LinearFit.Fit(design, 4, y);
        Assert.Equal(-39.91967442, fit.Coefficients[0].Value, 8);
        Assert.Equal(11.895996851, fit.Coefficients[0].StandardUncertainty, 8);
        Assert.Equal(-0.152122519, fit.Coefficients[3].Value, 9);
        Assert.Equal(3.24336392, fit.ResidualStandardDeviation, 8);
        Assert.Equal(0.913576904, fit.RSquaredAboutMean, 9);
    }

    [Fact]
    public void Bisquare_line_passes_a_bad_reading_by()
    {
        double[] x = [0, 1, 2, 3, 4, 5, 6, 7];
        double[] y = [10, 11.02, 11.97, 13.01, 40, 15.02, 15.98, 17];
        var fit = RobustFit.Line(x, y, RobustLoss.Bisquare);
        Assert.Equal(1, fit.Coefficients[1].Value, 1);
        Assert.Equal(0, fit.Weights[4]);
        Assert.NotEqual(1, LineFit.Fit(x, y).Slope.Value, 1);
    }
}
