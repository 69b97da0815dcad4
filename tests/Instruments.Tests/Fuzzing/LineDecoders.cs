using System.Collections.Immutable;
using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Replies of text protocols: a bank with check and mark, and a meter that hears itself.</summary>
internal static class LineDecoders
{
    private static readonly ImmutableDictionary<string, double> None = ImmutableDictionary<string, double>.Empty;

    private static readonly TextExchange State = new(
        Pattern("STATE?"),
        new TextPattern(
            "STATE <commanded hex 2> <closed hex 2> <air bits 3>",
            [
                new TextPart.Fixed("STATE "),
                new TextPart.Field("commanded", FieldForm.Hex, 2),
                new TextPart.Fixed(" "),
                new TextPart.Field("closed", FieldForm.Hex, 2),
                new TextPart.Fixed(" "),
                new TextPart.Field("air", FieldForm.Bits, 3),
            ]
        )
    );

    private static readonly TextExchange Volts = new(
        Pattern("#01V"),
        new TextPattern(
            "01V <value number>",
            [new TextPart.Fixed("01V "), new TextPart.Field("value", FieldForm.Number, 0)]
        )
    );

    private static readonly TextFraming Bank = new(
        "\r\n",
        "\r\n",
        LineChecksum.Sum8,
        '*',
        false,
        [
            new TextPattern(
                "ERR <code integer>",
                [new TextPart.Fixed("ERR "), new TextPart.Field("code", FieldForm.Integer, 0)]
            ),
        ],
        null
    );

    private static readonly TextFraming Meter = new("\r", "\r", LineChecksum.Xor8, null, true, [], null);

    private static readonly TextTransaction OfBank = new(Bank, State, None);
    private static readonly TextTransaction OfMeter = new(Meter, Volts, None, Pattern("01V OVER"));

    /// <summary>Lines of both.</summary>
    public static Decoder Lines { get; } =
        new(
            "text-lines",
            Decode,
            Mend,
            [
                .. new[]
                {
                    "STATE ",
                    "01V ",
                    "#01V59\r",
                    "ERR ",
                    "OVER",
                    "*",
                    "\r\n",
                    "\r",
                    "A6",
                    "101",
                    "9.9E37",
                    "+-",
                    "e",
                }.Select(Encoding.ASCII.GetBytes),
            ],
            64 * 1024
        );

    private static TextPattern Pattern(string line) => new(line, [new TextPart.Fixed(line)]);

    private static int Decode(byte[] input)
    {
        var bank = OfBank.Examine(input);
        Laws.Hold(bank, input.Length);
        if (bank.Verdict == Verdict.Reply && OfBank.Refusal is null)
        {
            // Read anew by hand: eight fixed places, and a sum over what stands before the asterisk.
            var text = Encoding.ASCII.GetString(input, 0, bank.Used);
            var sum = input.Take(15).Aggregate(0, (s, b) => (s + b) % 256);
            if (text.Length != 20 || Convert.ToInt32(text.Substring(16, 2), 16) != sum)
                throw new InvalidOperationException($"\"{text}\" was taken for a state");
        }
        var meter = OfMeter.Examine(input);
        Laws.Hold(meter, input.Length);
        var flag = IndicationFlag.Missing;
        if (meter.Verdict == Verdict.Reply && !OfMeter.IsOverRange)
        {
            flag = TextTemplate.Number(Volts.Reply, "value", OfMeter.Fields["value"], out var value);
            if (flag == IndicationFlag.Good && !double.IsFinite(value))
                throw new InvalidOperationException($"{value:R} was taken for a good number");
        }
        return (((int)bank.Verdict * 8 + (int)meter.Verdict) * 8 + (int)flag) * 4 + (OfBank.Refusal is null ? 0 : 2);
    }

    /// <summary>Puts the check of the bank's line right.</summary>
    private static byte[] Mend(byte[] input)
    {
        var mark = Array.LastIndexOf(input, (byte)'*');
        return mark < 1
            ? input
            : [.. input[..mark], .. TextLines.Encode(Bank, Encoding.Latin1.GetString(input, 0, mark)).AsSpan(mark)];
    }
}
