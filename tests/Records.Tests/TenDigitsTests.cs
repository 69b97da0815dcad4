using System.Globalization;
using CsCheck;
using LoadTest.Records.Writing;

namespace LoadTest.RecordsTests;

public sealed class TenDigitsTests
{
    [Theory]
    [InlineData(123.4567890123, "123.4567890")]
    [InlineData(-0.000125, "-0.0001250000000")]
    [InlineData(1.5e-7, "1.500000000e-7")]
    [InlineData(0, "0")]
    [InlineData(300, "300.0000000")]
    [InlineData(9999999999.6, "1.000000000e10")]
    [InlineData(1234567890, "1234567890")]
    [InlineData(double.PositiveInfinity, "infinite")]
    public void Numbers_are_written_with_ten_significant_digits(double value, string text) =>
        Assert.Equal(text, TenDigits.Of(value));

    [Fact]
    public void Missing_number_is_refused() => Assert.Throws<ArgumentException>(() => TenDigits.Of(double.NaN));

    [Fact]
    public void Text_reads_back_within_half_a_unit_of_the_tenth_digit() =>
        Gen
            .Double.Where(v => double.IsFinite(v) && Math.Abs(v) is > 1e-300 and < 1e300)
            .Sample(v =>
            {
                var back = double.Parse(TenDigits.Of(v), NumberStyles.Float, CultureInfo.InvariantCulture);
                Assert.InRange(Math.Abs(back - v) / Math.Abs(v), 0, 5.0001e-10);
            });
}
