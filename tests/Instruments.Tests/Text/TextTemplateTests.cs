using System.Collections.Immutable;
using System.Diagnostics;
using System.Text;
using CsCheck;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Text;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Text;

public sealed class TextTemplateTests
{
    private static readonly TextFraming Bank = EveryKindRig.Definition("element-bank-text.yaml").Framing!;
    private static readonly BankSwitching Switching = EveryKindRig.Definition("element-bank-text.yaml").Switching!;

    // "123456789" is the usual check string. 4B37: CRC-16/MODBUS in the catalogue of parametrised CRC algorithms (from memory).
    // Sum and exclusive or by hand: 31 + … + 39 hex is 1DD hex; 31 ^ … ^ 39 is 31.
    [Theory]
    [InlineData(LineChecksum.Sum8, "DD")]
    [InlineData(LineChecksum.Complement8, "23")]
    [InlineData(LineChecksum.Xor8, "31")]
    [InlineData(LineChecksum.Crc16, "4B37")]
    [InlineData(LineChecksum.None, "")]
    public void Check_digits_of_the_usual_check_string(LineChecksum kind, string digits) =>
        Assert.Equal(digits, TextLines.Check(kind, "123456789"));

    [Fact]
    public void Request_is_line_mark_check_and_end() =>
        // S, E, T, space, A, 6 are 53 45 54 20 41 36 hex, together 183 hex.
        Assert.Equal(
            "SET A6*83\r\n",
            Encoding.ASCII.GetString(
                new TextTransaction(
                    Bank,
                    Switching.Text!.Switch,
                    ImmutableDictionary<string, double>.Empty.Add("elements", 0xA6)
                ).Frame
            )
        );

    [Theory]
    [InlineData("STATE 06 02 101", "06", "02", "1")]
    [InlineData("STATE a6 A6 001", "a6", "A6", "0")]
    public void State_is_taken_apart(string line, string commanded, string closed, string air)
    {
        var fields = TextTemplate.Match(Switching.Text!.States.Reply, line)!;
        Assert.Equal((commanded, closed, air), (fields["commanded"], fields["closed"], fields["air"]));
    }

    [Theory]
    [InlineData("STATE 06 02 10")]
    [InlineData("STATE 06 02 1011")]
    [InlineData("STATE 6 02 101")]
    [InlineData("STATE 06  02 101")]
    [InlineData("STATE 06 02 121")]
    [InlineData("state 06 02 101")]
    [InlineData("")]
    public void Line_of_another_shape_is_no_state(string line) =>
        Assert.Null(TextTemplate.Match(Switching.Text!.States.Reply, line));

    [Theory]
    [InlineData("V 12.5", IndicationFlag.Good, 12.5)]
    [InlineData("V -1.25E+01", IndicationFlag.Good, -12.5)]
    [InlineData("V 9.9E37", IndicationFlag.Overload, 0)]
    [InlineData("V 9.91E37", IndicationFlag.NotANumber, 0)]
    public void Number_is_read_as_instruments_write_it(string line, IndicationFlag flag, double value)
    {
        var pattern = EveryKindRig.Definition("element-bank-text.yaml").Input("volts").Ask!.Reply;
        var fields = TextTemplate.Match(pattern, line)!;
        Assert.Equal(flag, TextTemplate.Number(pattern, "value", fields["value"], out var found));
        Assert.Equal(value, found);
    }

    [Theory]
    [InlineData("V 1,234")]
    [InlineData("V nan")]
    [InlineData("V +")]
    [InlineData("V 1e")]
    [InlineData("V ")]
    [InlineData("V 1.2.3")]
    public void What_is_no_number_matches_nothing(string line) =>
        Assert.Null(
            TextTemplate.Match(EveryKindRig.Definition("element-bank-text.yaml").Input("volts").Ask!.Reply, line)
        );

    [Fact]
    public void First_bit_of_a_row_is_the_first_element()
    {
        var row = new TextPattern("<elements bits 6>", [new TextPart.Field("elements", FieldForm.Bits, 6)]);
        Assert.Equal("011001", TextTemplate.Write(row, Values("elements", 0b10_0110)));
        Assert.Equal(IndicationFlag.Good, TextTemplate.Number(row, "elements", "011001", out var mask));
        Assert.Equal(0b10_0110, mask);
    }

    [Fact]
    public void What_is_written_is_read_again() =>
        Gen.UInt[0, 255]
            .Sample(mask =>
            {
                var line = TextTemplate.Write(Switching.Text!.Switch.Send, Values("elements", mask));
                var fields = TextTemplate.Match(Switching.Text.Switch.Reply, line)!;
                TextTemplate.Number(Switching.Text.Switch.Reply, "elements", fields["elements"], out var found);
                Assert.Equal(mask, found);
            });

    [Fact]
    public void Line_with_one_changed_character_never_passes_as_another_set_of_elements() =>
        Gen.Select(Gen.UInt[0, 255], Gen.Int[0, 8], Gen.Int[1, 127])
            .Sample(
                (mask, place, flip) =>
                {
                    var transaction = Switch(mask);
                    var bytes = transaction.Frame.ToArray();
                    bytes[place] = (byte)(bytes[place] ^ flip);
                    var verdict = transaction.Examine(bytes).Verdict;
                    // Hexadecimal digits may be written small: that is the same line.
                    Assert.True(
                        verdict != Verdict.Reply || flip == 0x20,
                        $"{Encoding.Latin1.GetString(bytes)}: {verdict}"
                    );
                }
            );

    [Theory]
    [InlineData("panel-meter-text.yaml", "#01V59\r01V +012.3422\r")]
    [InlineData("element-bank-text.yaml", "V 12.34*")]
    public void Reply_cut_at_every_offset_waits_for_the_rest(string file, string whole)
    {
        var definition = EveryKindRig.Definition(file);
        var framing = definition.Framing!;
        var ask = definition.Input("volts").Ask!;
        var transaction = new TextTransaction(framing, ask, ImmutableDictionary<string, double>.Empty);
        var reply = whole.EndsWith('*') ? whole + TextLines.Check(framing.Checksum, whole[..^1]) + "\r\n" : whole;
        if (framing.HasEcho)
            reply =
                Encoding.ASCII.GetString(transaction.Frame)
                + "01V +012.34"
                + TextLines.Check(framing.Checksum, "01V +012.34")
                + "\r";
        var bytes = Encoding.ASCII.GetBytes(reply);
        for (var k = 0; k < bytes.Length; k++)
            Assert.Equal(new Examined(Verdict.More, 0), transaction.Examine(bytes.AsSpan(0, k)));
        Assert.Equal(new Examined(Verdict.Reply, bytes.Length), transaction.Examine(bytes));
    }

    [Fact]
    public void Whatever_comes_is_judged_in_one_pass()
    {
        var watch = Stopwatch.StartNew();
        var count = 0;
        Gen.Select(
                Gen.Byte.Array[0, 600],
                Gen.OneOf(
                    Gen.Const("V "),
                    Gen.Const("STATE "),
                    Gen.Const("SET 0"),
                    Gen.Const("0"),
                    Gen.Const("9"),
                    Gen.Const("E"),
                    Gen.Const("+"),
                    Gen.Const("\r\n"),
                    Gen.Const("*")
                )
            )
            .Sample(
                (noise, word) =>
                {
                    count++;
                    byte[] bytes = [.. Encoding.ASCII.GetBytes(word), .. noise];
                    var examined = Switch(1).Examine(bytes);
                    Assert.InRange(examined.Used, 0, bytes.Length);
                    Assert.True(examined.Used > 0 || examined.Verdict == Verdict.More);
                },
                iter: 20_000,
                threads: 1
            );
        Assert.True(watch.Elapsed < TimeSpan.FromMilliseconds(1) * count, $"{count} lines took {watch.Elapsed}");
    }

    private static TextTransaction Switch(uint mask) =>
        new(Bank, Switching.Text!.Switch, ImmutableDictionary<string, double>.Empty.Add("elements", mask));

    private static ImmutableDictionary<string, double> Values(string name, double value) =>
        ImmutableDictionary<string, double>.Empty.Add(name, value);
}
