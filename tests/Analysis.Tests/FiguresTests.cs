using LoadTest.Analysis;

namespace LoadTest.AnalysisTests;

public sealed class FiguresTests
{
    // The GUM, 7.2.6: uncertainties to two digits, values to the same place.
    [Theory]
    [InlineData(100.02147, 0.00079, "100.02147")]
    [InlineData(10.05762, 0.027, "10.058")]
    [InlineData(-0.0004, 0.11, "0.00")]
    [InlineData(1.9, 0.996, "1.9")]
    [InlineData(-3.25, 0.5, "−3.25")]
    public void A_value_is_said_to_the_place_its_uncertainty_reaches(double value, double grain, string text) =>
        Assert.Equal(text, Figures.To(value, grain));

    [Theory]
    [InlineData(0.00584, "0.0058")]
    [InlineData(3.0, "3")]
    [InlineData(1.2e-9, "0.0000000012")]
    [InlineData(0.0, "0")]
    [InlineData(123.4, "123")]
    public void A_size_is_said_without_exponents_or_idle_zeros(double value, string text) =>
        Assert.Equal(text, Figures.Of(value));

    [Fact]
    public void Volts_finer_than_a_thousandth_are_said_in_millivolts()
    {
        Assert.Equal(("mV", 1000.0), Figures.Scaled("V", 2e-5));
        Assert.Equal(("V", 1.0), Figures.Scaled("V", 0.02));
        Assert.Equal(("rpm", 1.0), Figures.Scaled("rpm", 1e-5));
    }

    [Theory]
    [InlineData(0.0002364, 300, "0")]
    [InlineData(-0.0002364, 300, "0")]
    [InlineData(299.94, 300, "299.9")]
    [InlineData(60, 20, "60")]
    [InlineData(51.2345, 20, "51.23")]
    [InlineData(12345.678, 12000, "12346")]
    public void A_value_of_many_is_said_to_a_thousandth_of_what_they_span(double value, double span, string text) =>
        Assert.Equal(text, Figures.Within(value, span));

    [Theory]
    [InlineData(0.15727, "0.16")]
    [InlineData(3e-7, "below 0.0001")]
    [InlineData(0, "below 0.0001")]
    public void A_chance_as_good_as_none_is_said_so(double chance, string text) =>
        Assert.Equal(text, Figures.Chance(chance));
}
