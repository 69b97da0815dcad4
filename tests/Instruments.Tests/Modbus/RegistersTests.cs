using CsCheck;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;

namespace LoadTest.InstrumentsTests.Modbus;

public sealed class RegistersTests
{
    [Theory]
    [InlineData(RegisterForm.Unsigned16, false, 1, "FFFE", 65534)]
    [InlineData(RegisterForm.Signed16, false, 1, "FFFE", -2)]
    [InlineData(RegisterForm.Signed16, false, 0.1, "FF9C", -10)]
    [InlineData(RegisterForm.Unsigned32, false, 1, "00009D19", 40217)]
    [InlineData(RegisterForm.Unsigned32, true, 1, "9D190000", 40217)]
    [InlineData(RegisterForm.Signed32, false, 1, "FFFFFFFF", -1)]
    [InlineData(RegisterForm.Signed32, true, 1, "FFFE7FFF", 2147483646)]
    [InlineData(RegisterForm.Float32, false, 1, "449A5000", 1234.5)] // IEEE 754: 1234.5 = 1.2055664 × 2¹⁰
    [InlineData(RegisterForm.Float32, true, 1, "5000449A", 1234.5)]
    [InlineData(RegisterForm.Float32, false, 1, "3F800000", 1)] // IEEE 754: one
    [InlineData(RegisterForm.Float32, false, 1, "C0000000", -2)] // IEEE 754: minus two
    [InlineData(RegisterForm.Bit, false, 1, "0001", 1)]
    [InlineData(RegisterForm.Bit, false, 1, "0002", 0)]
    public void Registers_decode_by_form_word_order_and_scale(
        RegisterForm form,
        bool isLowWordFirst,
        double scale,
        string hex,
        double value
    )
    {
        Assert.Equal(value, Registers.Decode(Holding(form, isLowWordFirst, scale), Convert.FromHexString(hex)));
    }

    [Theory]
    [InlineData(RegisterForm.Float32, false, "9A440050", 1234.5)]
    [InlineData(RegisterForm.Float32, true, "00509A44", 1234.5)]
    [InlineData(RegisterForm.Unsigned16, false, "0100", 1)]
    [InlineData(RegisterForm.Signed16, false, "FEFF", -2)]
    [InlineData(RegisterForm.Unsigned32, false, "0000199D", 40217)]
    public void Registers_with_the_low_byte_first_decode_as_the_others(
        RegisterForm form,
        bool isLowWordFirst,
        string hex,
        double value
    )
    {
        var register = Holding(form, isLowWordFirst, 1) with { IsLowByteFirst = true };
        Assert.Equal(value, Registers.Decode(register, Convert.FromHexString(hex)));
        Assert.Equal(hex, string.Concat(Registers.Encode(register, value).Select(w => $"{w:X4}")));
    }

    [Theory]
    [InlineData(RegisterForm.Unsigned16, "A5C3", 4, 4, 0xC)]
    [InlineData(RegisterForm.Unsigned16, "A5C3", 15, 1, 1)]
    [InlineData(RegisterForm.Unsigned16, "A5C3", 0, 16, 0xA5C3)]
    [InlineData(RegisterForm.Unsigned32, "A5C3F00F", 12, 8, 0x3F)]
    [InlineData(RegisterForm.Unsigned32, "A5C3F00F", 0, 32, 0xA5C3F00F)]
    public void Field_of_bits_holds_a_number_of_its_own(
        RegisterForm form,
        string hex,
        int first,
        int count,
        double value
    )
    {
        var register = Holding(form, false, 0.5) with { Bits = new BitField(first, count) };
        Assert.Equal(0.5 * value, Registers.Decode(register, Convert.FromHexString(hex)));
        Assert.Throws<ArgumentOutOfRangeException>(() => Registers.Encode(register, 0.5 * Math.Pow(2, count)));
    }

    [Fact]
    public void Whole_numbers_written_read_back_in_every_form_and_order() =>
        Gen.Select(Gen.Int[-30000, 30000], Gen.Int[0, 5], Gen.Bool, Gen.Bool)
            .Sample(
                (number, kind, isLowWordFirst, isLowByteFirst) =>
                {
                    var register = Holding((RegisterForm)kind, isLowWordFirst, 1) with
                    {
                        IsLowByteFirst = isLowByteFirst,
                    };
                    var value = register.Form switch
                    {
                        RegisterForm.Bit => number & 1,
                        RegisterForm.Unsigned16 or RegisterForm.Unsigned32 => Math.Abs(number),
                        _ => number,
                    };
                    var words = Registers.Encode(register, value);
                    byte[] bytes = [.. words.SelectMany(w => new[] { (byte)(w >> 8), (byte)(w & 0xFF) })];
                    return words.Length == Registers.Width(register.Form)
                        && Registers.Decode(register, bytes).Equals(value);
                }
            );

    [Theory]
    [InlineData(RegisterForm.Unsigned16, -1)]
    [InlineData(RegisterForm.Unsigned16, 65536)]
    [InlineData(RegisterForm.Signed16, 32768)]
    [InlineData(RegisterForm.Unsigned32, 4294967296d)]
    [InlineData(RegisterForm.Bit, 2)]
    [InlineData(RegisterForm.Unsigned16, double.NaN)]
    public void Number_that_does_not_fit_is_refused(RegisterForm form, double value)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Registers.Encode(Holding(form, false, 1), value));
    }

    private static RegisterText Holding(RegisterForm form, bool isLowWordFirst, double scale) =>
        new(RegisterTable.HoldingRegister, 3, form, isLowWordFirst, scale);
}
