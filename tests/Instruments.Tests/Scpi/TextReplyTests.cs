using CsCheck;
using LoadTest.Instruments.Scpi;

namespace LoadTest.InstrumentsTests.Scpi;

public sealed class TextReplyTests
{
    [Theory]
    [InlineData("1", true)]
    [InlineData("+1", true)]
    [InlineData("0", false)]
    [InlineData("on", true)]
    [InlineData("OFF", false)]
    public void Truth_is_one_or_nought_on_or_off(string reply, bool value)
    {
        // SCPI-99 volume 1, 7.3.
        Assert.True(TextReply.TryTruth(reply, out var read));
        Assert.Equal(value, read);
    }

    [Theory]
    [InlineData("")]
    [InlineData("2")]
    [InlineData("-1")]
    [InlineData("yes")]
    [InlineData("1.0")]
    public void Anything_else_is_no_truth(string reply) => Assert.False(TextReply.TryTruth(reply, out _));

    [Theory]
    [InlineData("\"VOLT\"", "VOLT")]
    [InlineData("'VOLT'", "VOLT")]
    [InlineData("\"say \"\"on\"\"\"", "say \"on\"")]
    [InlineData("'it''s'", "it's")]
    [InlineData("\"it's\"", "it's")]
    [InlineData("\"\"", "")]
    [InlineData("\"\"\"\"", "\"")]
    public void Text_stands_in_quotes_which_are_doubled_inside(string reply, string value)
    {
        // IEEE 488.2, 8.7.8.
        Assert.True(TextReply.TryText(reply, out var read));
        Assert.Equal(value, read);
    }

    [Theory]
    [InlineData("")]
    [InlineData("\"")]
    [InlineData("VOLT")]
    [InlineData("\"VOLT'")]
    [InlineData("\"a\"b\"")]
    [InlineData("\"a\",\"b\"")]
    [InlineData("\"\"\"")]
    public void Quotes_left_open_or_closed_early_are_no_text(string reply) =>
        Assert.False(TextReply.TryText(reply, out _));

    [Fact]
    public void Any_text_comes_back_as_it_was() =>
        Gen.String[Gen.Char[' ', '~'], 0, 40]
            .Sample(text =>
                TextReply.TryText($"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"", out var read)
                && read == text
            );

    [Theory]
    [InlineData("32", 32)]
    [InlineData("+32", 32)]
    [InlineData("#H20", 32)]
    [InlineData("#hfF", 255)]
    [InlineData("#Q77", 63)]
    [InlineData("#B11", 3)]
    [InlineData("#HFFFFFFFF", 4294967295)]
    public void Whole_numbers_are_read_in_every_base(string reply, uint value)
    {
        // IEEE 488.2, 8.7; the examples #H20, #Q77 and #B11 are those of a public parser's tests.
        Assert.True(TextReply.TryWhole(reply, out var read));
        Assert.Equal(value, read);
    }

    [Theory]
    [InlineData("")]
    [InlineData("-1")]
    [InlineData("1.5")]
    [InlineData("#H")]
    [InlineData("#HG")]
    [InlineData("#Q8")]
    [InlineData("#B2")]
    [InlineData("#H1FFFFFFFF")]
    [InlineData("#Q77777777777")]
    public void What_is_no_whole_number_from_nought_on_is_refused(string reply) =>
        Assert.False(TextReply.TryWhole(reply, out _));

    [Theory]
    [InlineData(0, "nothing")]
    [InlineData(48, "execution error, command error")]
    [InlineData(128, "power on")]
    public void Events_have_the_names_of_the_standard(uint register, string words)
    {
        // IEEE 488.2, 11.5.1: 1 operation complete, 2 request control, 4 query, 8 device, 16 execution, 32 command, 64 user, 128 power on.
        Assert.Equal(words, StatusBits.EventWords(register));
    }

    [Fact]
    public void Status_byte_has_the_names_of_the_standard() =>
        Assert.Equal("error queue not empty, message available, standard event", StatusBits.SummaryWords(0b11_0100));
}
