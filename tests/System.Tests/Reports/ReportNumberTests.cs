using LoadTest.Analysis;
using LoadTest.Reports;
using LoadTest.Sequencer.Text;

namespace LoadTest.SystemTests.Reports;

public sealed class ReportNumberTests
{
    // JCGM 100:2008, 7.2.2 and 7.2.6: m_S = 100.021 47 g with u = 0.35 mg, U = 0.79 mg; and 10.057 62 Ω with u = 27 mΩ is 10.058 Ω.
    [Theory]
    [InlineData(100.02147, 0.00079, "100.02147 ± 0.00079")]
    [InlineData(10.05762, 0.027, "10.058 ± 0.027")]
    [InlineData(149.9388, 0.1552, "149.94 ± 0.16")]
    [InlineData(-0.0001, 0.0996, "0.00 ± 0.10")]
    [InlineData(-1.785, 0.0499, "−1.785 ± 0.050")]
    [InlineData(3000, 123, "3000 ± 123")]
    public void Value_is_rounded_to_the_place_of_its_uncertainty(double value, double expanded, string text) =>
        Assert.Equal(text, ReportNumber.WithUncertainty(new Estimate(value, expanded / 2), expanded, Unit.One));

    [Fact]
    public void Ratios_are_read_in_millivolts_per_ampere_and_fractions_in_percent()
    {
        Assert.Equal(
            "(0.122769 ± 0.000063) mV/A",
            ReportNumber.WithUncertainty(new Estimate(0.000122769, 0), 6.3e-8, Unit.VoltPerAmpere)
        );
        Assert.Equal("(0.50 ± 0.21) %", ReportNumber.WithUncertainty(new Estimate(0.005, 0), 0.0021, Unit.Fraction));
    }

    [Theory]
    [InlineData(0.12375, 6, "0.12375")]
    [InlineData(-9, 6, "−9")]
    [InlineData(8.73, 6, "8.73")]
    [InlineData(300, 6, "300")]
    [InlineData(0, 6, "0")]
    public void Given_numbers_carry_no_trailing_zeros(double value, int digits, string text) =>
        Assert.Equal(text, ReportNumber.Trimmed(value, digits));
}
