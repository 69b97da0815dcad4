using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Replies of text instruments: the first byte of an input chooses framing and question, the rest is what was received.</summary>
internal static class TextDecoder
{
    private static readonly TextPattern[] Refusals =
    [
        Pattern(new TextPart.Fixed("ERR "), Field("code", FieldForm.Integer)),
    ];

    private static readonly TextFraming[] Framings =
    [
        new("\r\n", "\r\n", LineChecksum.None, null, false, [.. Refusals], null),
        new("\n", "\n", LineChecksum.Sum8, '*', false, [.. Refusals], null),
        new("\r", "\r", LineChecksum.Xor8, null, true, [], null),
        new("\r\n", "\r\n", LineChecksum.Crc16, '*', true, [.. Refusals], null),
    ];

    private static readonly TextExchange[] Questions =
    [
        Asked("V?", new TextPart.Fixed("V "), Field("value", FieldForm.Number)),
        Asked("S?", Field("commanded", FieldForm.Hex, 2), new TextPart.Fixed(" "), Field("closed", FieldForm.Bits, 8)),
        Asked("ID?", new TextPart.Fixed("ID EB-6T "), Field("serial", FieldForm.Word)),
    ];

    private static readonly TextTransaction[] Waiting =
    [
        .. Framings.SelectMany(f =>
            Questions.Select(q => new TextTransaction(
                f,
                q,
                new Dictionary<string, double>(StringComparer.Ordinal),
                Pattern(new TextPart.Fixed("V OL"))
            ))
        ),
    ];

    public static Decoder Replies { get; } =
        new(
            "text-replies",
            Decode,
            Mended,
            [
                .. new[]
                {
                    "V ",
                    "V OL",
                    "ERR 3",
                    "V?",
                    "S?",
                    "\r\n",
                    "\r",
                    "\n",
                    "*",
                    "1e999",
                    "0F 11110000",
                    "ID EB-6T ",
                }.Select(Encoding.ASCII.GetBytes),
            ],
            256 * 1024
        );

    /// <summary>An input whose line has the right check for its framing.</summary>
    public static byte[] Mended(byte[] input)
    {
        if (input.Length < 2)
            return input;
        var framing = Framings[input[0] % Waiting.Length / Questions.Length];
        var question = Questions[input[0] % Questions.Length].Send.Written;
        var line = new string([.. input[1..].Where(b => b is >= (byte)' ' and <= (byte)'~').Select(b => (char)b)]);
        var echo = framing.HasEcho ? TextLines.Encode(framing, question) : [];
        return [input[0], .. echo, .. TextLines.Encode(framing with { SentEnd = framing.ReplyEnd }, line)];
    }

    private static int Decode(byte[] input)
    {
        if (input.Length == 0)
            return 0;
        var which = input[0] % Waiting.Length;
        var examined = Waiting[which].Examine(input.AsSpan(1));
        Laws.Hold(examined, input.Length - 1);
        var said =
            examined.Verdict != Verdict.Reply ? 0
            : Waiting[which].Refusal is not null ? 1
            : Waiting[which].IsOverRange ? 2
            : 3;
        return ((int)examined.Verdict * 100 + which) * 100 + said * 20 + Math.Min(examined.Used, 19);
    }

    private static TextExchange Asked(string send, params TextPart[] reply) =>
        new(Pattern(new TextPart.Fixed(send)), Pattern(reply));

    private static TextPattern Pattern(params TextPart[] parts) =>
        new(string.Concat(parts.OfType<TextPart.Fixed>().Select(f => f.Characters)), [.. parts]);

    private static TextPart.Field Field(string name, FieldForm form, int width = 0) => new(name, form, width);
}
