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

    [Fact]
    public void Whole_numbers_written_read_back_in_every_form_and_order() =>
        Gen.Select(Gen.Int[-30000, 30000], Gen.Int[0, 5], Gen.Bool)
            .Sample(
                (number, kind, isLowWordFirst) =>
                {
                    var register = Holding((RegisterForm)kind, isLowWordFirst, 1);
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
