using System.Globalization;
using CsCheck;
using LoadTest.Instruments.Scpi;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Scpi;

/// <summary>IEEE 488.2 clause 8.7 (NR1, NR2, NR3) and the special values of SCPI-99 volume 1, 7.2.1.</summary>
public sealed class NumericReplyTests
{
    [Theory]
    [InlineData("12", 12)]
    [InlineData("-7", -7)]
    [InlineData("+12.50", 12.5)]
    [InlineData(".5", 0.5)]
    [InlineData("5.", 5)]
    [InlineData("+3.20012345E+01", 32.0012345)]
    [InlineData("-1.0e-3", -0.001)]
    [InlineData(" 4.2 \r", 4.2)]
    [InlineData("0", 0)]
    [InlineData("1E-400", 0)]
    public void Numbers_of_the_three_forms_are_read(string reply, double value)
    {
        Assert.Equal(IndicationFlag.Good, NumericReply.Read(reply, out var read));
        Assert.Equal(value, read);
    }

    [Theory]
    [InlineData("9.9E37")]
    [InlineData("-9.9E37")]
    [InlineData("+9.90000000E+37")]
    [InlineData("9.9E+38")]
    [InlineData("1E37")]
    [InlineData("-1e300")]
    public void Magnitudes_from_1e37_are_overload_with_either_sign(string reply)
    {
        Assert.Equal(IndicationFlag.Overload, NumericReply.Read(reply, out var read));
        Assert.Equal(0, read);
    }

    [Theory]
    [InlineData("9.91E37")]
    [InlineData("+9.91000000E+37")]
    [InlineData("NAN")]
    [InlineData("nan")]
    [InlineData("INF")]
    [InlineData("Infinity")]
    [InlineData("1e999")]
    [InlineData("-1e999")]
    [InlineData("")]
    [InlineData("   ")]
    [InlineData("1,234")]
    [InlineData("1.2.3")]
    [InlineData("1 2")]
    [InlineData("12V")]
    [InlineData("E5")]
    [InlineData("1e")]
    [InlineData("+-1")]
    [InlineData("0x10")]
    [InlineData("٣")]
    [InlineData("(1)")]
    public void What_is_not_wholly_one_number_is_not_a_number(string reply)
    {
        Assert.Equal(IndicationFlag.NotANumber, NumericReply.Read(reply, out var read));
        Assert.Equal(0, read);
    }

    [Fact]
    public void Any_double_below_the_overload_written_in_full_reads_back_bit_for_bit() =>
        Gen.Double[-9e36, 9e36]
            .Sample(value =>
            {
                var text = value.ToString("E16", CultureInfo.InvariantCulture);
                return NumericReply.Read(text, out var read) == IndicationFlag.Good && read.Equals(value);
            });

    [Fact]
    public void Any_bytes_give_a_flag_and_only_good_gives_a_value() =>
        Gen
            .Byte.Array[0, 24]
            .Sample(bytes =>
            {
                var flag = NumericReply.Read(bytes, out var value);
                return flag == IndicationFlag.Good ? Math.Abs(value) < 1e37 : value == 0;
            });
}
