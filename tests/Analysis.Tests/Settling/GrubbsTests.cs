using LoadTest.Analysis.Settling;

namespace LoadTest.AnalysisTests.Settling;

public class GrubbsTests
{
    [Fact]
    public void Uranium_example_of_the_e_Handbook_reaches_its_statistic()
    {
        // NIST/SEMATECH e-Handbook 1.3.5.17.1: one-sided 5 % at n = 8 is 2.0317, G 2.4688 (data from memory, figures read).
        double[] x = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
        var found = Grubbs.Test(x);
        Assert.Equal(2.46876461121245, found.Statistic, 12);
        Assert.Equal(2.031652001549952, Grubbs.CriticalValue(8, 0.05), 10);
        Assert.Equal(2.1266450871956257, found.Critical, 10);
        Assert.Equal(7, found.Index);
        Assert.True(found.IsOutlier);
    }

    [Theory]
    [InlineData(3, 1.1531, 1.1543, 1.1546)]
    [InlineData(4, 1.4625, 1.4812, 1.4925)]
    [InlineData(5, 1.6714, 1.7150, 1.7489)]
    [InlineData(6, 1.8221, 1.8871, 1.9442)]
    [InlineData(8, 2.0317, 2.1266, 2.2208)]
    [InlineData(10, 2.1761, 2.2900, 2.4097)]
    [InlineData(20, 2.5566, 2.7082, 2.8838)]
    [InlineData(50, 2.9570, 3.1282, 3.3366)]
    [InlineData(100, 3.2095, 3.3841, 3.6002)]
    public void Critical_values_are_those_of_the_table(int n, double five, double half, double one)
    {
        // Grubbs 1969 table by its formula (computed). Many printed "5 %" tables are one-sided at 2.5 %.
        Assert.Equal(five, Grubbs.CriticalValue(n, 0.05), 4);
        Assert.Equal(half, Grubbs.CriticalValue(n, 0.025), 4);
        Assert.Equal(one, Grubbs.CriticalValue(n, 0.01), 4);
    }

    [Fact]
    public void Equal_readings_hold_no_outlier_and_two_are_too_few()
    {
        Assert.False(Grubbs.Test([5, 5, 5]).IsOutlier);
        Assert.Throws<ArgumentException>(() => Grubbs.Test([5, 6]));
        Assert.Throws<ArgumentException>(() => Grubbs.Test([5, 6, double.NaN]));
    }
}
