using System.Globalization;
using CsCheck;
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

    // SI brochure, 9th edition, table 7, for the prefixes.
    [Theory]
    [InlineData(1e6, "1 MΩ")]
    [InlineData(123456, "123.456 kΩ")]
    [InlineData(12500, "12500 Ω")]
    [InlineData(999_999.9, "1 MΩ")]
    [InlineData(2500, "2500 Ω")]
    [InlineData(0.05, "0.05 Ω")]
    [InlineData(0.00025, "250 µΩ")]
    [InlineData(-4.7e-8, "−47 nΩ")]
    [InlineData(0, "0 Ω")]
    public void Long_value_is_written_with_a_prefix(double value, string text) =>
        Assert.Equal(text, Figures.With(value, "Ω"));

    [Theory]
    [InlineData(1e12, "1 × 10¹²")]
    [InlineData(1e37, "1 × 10³⁷")]
    [InlineData(-1.54e-10, "−1.5 × 10⁻¹⁰")]
    [InlineData(9.97e-19, "1 × 10⁻¹⁸")]
    [InlineData(double.PositiveInfinity, "∞")]
    [InlineData(double.NaN, "no number")]
    public void Number_beyond_all_prefixes_has_its_power_of_ten_written_out(double value, string text) =>
        Assert.Equal(text, Figures.Of(value));

    /// <summary>Whatever is written reads back as the number to the digits asked for, with no exponent in it.</summary>
    [Fact]
    public void Number_written_for_people_has_no_exponent_and_loses_no_digit_asked_for() =>
        Gen.Select(Gen.Double[1, 10], Gen.Int[-30, 30], Gen.Bool, Gen.Int[1, 9])
            .Sample(
                (mantissa, power, isNegative, digits) =>
                {
                    var value = (isNegative ? -mantissa : mantissa) * Math.Pow(10, power);
                    foreach (var text in new[] { Figures.Of(value, digits), Figures.With(value, "V", digits) })
                    {
                        Assert.DoesNotContain('E', text);
                        Assert.DoesNotContain('e', text);
                        Assert.True(
                            Math.Abs(Read(text) - value) <= 0.5001 * Math.Abs(value) * Math.Pow(10, 1 - digits),
                            $"{value:R} to {digits} digits is written {text}"
                        );
                    }
                }
            );

    private static double Read(string text)
    {
        var parts = text.Replace('−', '-').Split(' ');
        var number = double.Parse(parts[0], CultureInfo.InvariantCulture);
        if (parts is [_, "×", var power, ..])
        {
            var raised = power[2..]
                .Select(c => c == '⁻' ? '-' : (char)('0' + "⁰¹²³⁴⁵⁶⁷⁸⁹".IndexOf(c, StringComparison.Ordinal)));
            number *= Math.Pow(10, int.Parse(string.Concat(raised), CultureInfo.InvariantCulture));
        }
        return parts[^1] switch
        {
            "nV" => number * 1e-9,
            "µV" => number * 1e-6,
            "mV" => number * 1e-3,
            "kV" => number * 1e3,
            "MV" => number * 1e6,
            "GV" => number * 1e9,
            _ => number,
        };
    }
}
