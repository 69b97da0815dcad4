using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;

namespace LoadTest.InstrumentsTests.Modbus;

public sealed class RegisterSurveyTests
{
    // IEEE 754 single 1234.5 is 449A5000 hex: 1.20556640625 × 2^10, sign 0, exponent 137, by hand.
    [Theory]
    [InlineData(0x449A, 0x5000, false, false)]
    [InlineData(0x5000, 0x449A, true, false)]
    [InlineData(0x9A44, 0x0050, false, true)]
    [InlineData(0x0050, 0x9A44, true, true)]
    public void Order_of_words_and_bytes_is_found(int first, int second, bool isLowWordFirst, bool isLowByteFirst)
    {
        var best = RegisterSurvey.Find(At(7, first, second), 1234.5, 1e-4)[0].Register;
        Assert.Equal(
            (7, RegisterForm.Float32, isLowWordFirst, isLowByteFirst),
            (best.Address, best.Form, best.IsLowWordFirst, best.IsLowByteFirst)
        );
    }

    [Theory]
    [InlineData(2301, 230.1, 0.1)]
    [InlineData(23010, 230.1, 0.01)]
    [InlineData(5, 5000, 1000)]
    public void Scale_of_a_whole_number_is_found(int raw, double wanted, double scale)
    {
        var best = RegisterSurvey.Find(At(3, raw), wanted, 1e-4)[0].Register;
        Assert.Equal((3, RegisterForm.Unsigned16), (best.Address, best.Form));
        Assert.Equal(scale, best.Scale, 12);
    }

    [Fact]
    public void Negative_number_is_found_in_a_signed_form()
    {
        // −12.5 in steps of 0.1 is −125: FF83 hex in two's complement.
        var best = RegisterSurvey.Find(At(3, 0xFF83), -12.5, 1e-4)[0].Register;
        Assert.Equal((RegisterForm.Signed16, 0.1), (best.Form, best.Scale));
    }

    [Fact]
    public void Registers_that_are_not_there_are_read_across()
    {
        var words = new Dictionary<(RegisterTable, int), ushort>
        {
            [(RegisterTable.InputRegister, 2)] = 0x449A,
            [(RegisterTable.InputRegister, 4)] = 0x5000,
        };
        Assert.Empty(RegisterSurvey.Find(words, 1234.5, 1e-4));
    }

    [Fact]
    public void Nought_is_no_known_value() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => RegisterSurvey.Find(At(1, 0), 0, 1e-4));

    private static Dictionary<(RegisterTable Table, int Address), ushort> At(int address, params int[] words) =>
        words
            .Select((w, k) => (Place: (RegisterTable.InputRegister, address + k), Word: (ushort)w))
            .ToDictionary(w => w.Place, w => w.Word);
}
