using LoadTest.Analysis.Numerics;

namespace LoadTest.AnalysisTests.Numerics;

public sealed class DistributionTests
{
    // Reference values: SciPy 1.10.1 (norm, chi2, f).
    [Theory]
    [InlineData(1e-300, -37.0470962993612)]
    [InlineData(1e-20, -9.262340089798409)]
    [InlineData(1e-05, -4.264890793922825)]
    [InlineData(0.025, -1.9599639845400545)]
    [InlineData(0.4, -0.2533471031357997)]
    [InlineData(0.75, 0.6744897501960817)]
    [InlineData(0.95, 1.6448536269514722)]
    [InlineData(0.999, 3.090232306167813)]
    public void Normal_quantile_agrees_with_a_reference_library(double p, double z)
    {
        Digits.AtLeast(14, Normal.Quantile(p), z);
        // A rounding of z alone moves the far tail by z² · 2⁻⁵³, so 12.5 digits at 37 standard deviations.
        Digits.AtLeast(12.5, Normal.Cdf(z), p);
    }

    [Theory]
    [InlineData(0.01, 1.0, 0.00015708785790970184)]
    [InlineData(0.5, 1.0, 0.454936423119572)]
    [InlineData(0.95, 8.0, 15.50731305586545)]
    [InlineData(0.99, 2.5, 10.311244391741496)]
    [InlineData(0.001, 30.0, 11.587951045645056)]
    [InlineData(0.975, 30.0, 46.97924224367115)]
    [InlineData(0.5, 250.0, 249.33365030643904)]
    [InlineData(0.999, 1000.0, 1143.9170926196791)]
    [InlineData(0.05, 0.5, 8.437150840525987e-06)]
    public void Chi_squared_agrees_with_a_reference_library(double p, double degrees, double x)
    {
        Digits.AtLeast(12.5, ChiSquared.Quantile(p, degrees), x);
        Digits.AtLeast(12.5, ChiSquared.Cdf(x, degrees), p);
    }

    [Theory]
    [InlineData(0.95, 4.0, 20.0, 2.8660814020156584)]
    [InlineData(0.95, 9.0, 40.0, 2.124029264016696)]
    [InlineData(0.01, 3.0, 7.0, 0.036138008940924816)]
    [InlineData(0.5, 1.0, 1.0, 1.0000000000000013)]
    [InlineData(0.999, 2.5, 60.0, 6.827547916050589)]
    [InlineData(0.99, 30.0, 300.0, 1.7613805879411026)]
    [InlineData(0.975, 8.0, 22.0, 2.8391545838698637)]
    [InlineData(0.9, 100.0, 100.0, 1.2934390125423707)]
    public void Fisher_ratio_agrees_with_a_reference_library(double p, double upper, double lower, double x)
    {
        Digits.AtLeast(12, FisherF.Quantile(p, upper, lower), x);
        Digits.AtLeast(12, FisherF.Cdf(x, upper, lower), p);
    }

    // JCGM 100:2008, H.5.2.2: F0.95(9, 40) = 2.12 and F0.975(9, 40) = 2.45 (from memory, recomputed).
    [Theory]
    [InlineData(0.95, 2.12)]
    [InlineData(0.975, 2.45)]
    public void Fisher_ratio_is_the_one_printed_for_the_voltage_standard(double p, double printed) =>
        Assert.Equal(printed, FisherF.Quantile(p, 9, 40), 2);

    // Printed tables, upper points: chi-squared 5 % at 3 is 7.81473, 1 % at 2 is 9.21034; F 10 % at (1, 2) is 8.52632.
    [Fact]
    public void Table_values_reproduce()
    {
        Assert.Equal(7.81473, ChiSquared.Quantile(0.95, 3), 5);
        Assert.Equal(9.21034, ChiSquared.Quantile(0.99, 2), 5);
        Assert.Equal(0.71072, ChiSquared.Quantile(0.05, 4), 5);
        Assert.Equal(8.52632, FisherF.Quantile(0.9, 1, 2), 5);
    }

    // Student's t, two-sided, as tables print it (GUM table G.2 has the same columns): 68.27, 90, 95, 95.45, 99, 99.73 %.
    [Theory]
    [InlineData(1, new[] { 1.8374, 6.3138, 12.7062, 13.9678, 63.6567, 235.7837 })]
    [InlineData(2, new[] { 1.3213, 2.9200, 4.3027, 4.5266, 9.9248, 19.2060 })]
    [InlineData(3, new[] { 1.1969, 2.3534, 3.1824, 3.3068, 5.8409, 9.2187 })]
    [InlineData(5, new[] { 1.1105, 2.0150, 2.5706, 2.6487, 4.0321, 5.5070 })]
    [InlineData(8, new[] { 1.0666, 1.8595, 2.3060, 2.3664, 3.3554, 4.2766 })]
    [InlineData(10, new[] { 1.0526, 1.8125, 2.2281, 2.2837, 3.1693, 3.9569 })]
    [InlineData(20, new[] { 1.0257, 1.7247, 2.0860, 2.1330, 2.8453, 3.4221 })]
    [InlineData(40, new[] { 1.0127, 1.6839, 2.0211, 2.0645, 2.7045, 3.1987 })]
    [InlineData(100, new[] { 1.0050, 1.6602, 1.9840, 2.0253, 2.6259, 3.0767 })]
    public void Student_table_reproduces(double nu, double[] printed)
    {
        double[] coverage = [0.6827, 0.9, 0.95, 0.9545, 0.99, 0.9973];
        for (var k = 0; k < coverage.Length; k++)
        {
            Assert.Equal(printed[k], StudentT.TwoSided(coverage[k], nu), 1e-4);
        }
    }

    [Fact]
    public void A_missing_value_is_refused()
    {
        Assert.Throws<ArgumentException>(() => Normal.Cdf(double.NaN));
        Assert.Throws<ArgumentException>(() => ChiSquared.Cdf(double.NaN, 3));
        Assert.Throws<ArgumentOutOfRangeException>(() => FisherF.Quantile(1, 3, 3));
        Assert.Throws<ArgumentOutOfRangeException>(() => ChiSquared.Quantile(0.5, double.PositiveInfinity));
    }
}
