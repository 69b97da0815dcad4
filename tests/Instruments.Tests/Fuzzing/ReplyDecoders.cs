using System.Globalization;
using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Scpi;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Replies of text instruments, and definition files.</summary>
internal static class ReplyDecoders
{
    private static readonly ScpiTransaction Line = new("READ?");
    private static readonly ScpiTransaction Block = new("CURV?", isBlock: true);

    public static Decoder Numbers { get; } =
        new("scpi-numbers", Number, null, Words("9.9E37", "9.91E37", "E", ".", "+", "-", "1e999", "nan", "0"), 4096);

    public static Decoder Texts { get; } =
        new("scpi-texts", Text, null, Words("\"", "'", ",", "#H", "#Q", "#B", "ON", "-113,\"", "0"), 256 * 1024);

    public static Decoder Blocks { get; } =
        new("scpi-blocks", Bytes, null, Words("#0", "#11", "#9", "\n", "\r\n", "#565536"), 256 * 1024);

    public static Decoder Definitions { get; } =
        new(
            "definition-files",
            Definition,
            null,
            Words(
                ": ",
                "- ",
                "{",
                "}",
                "[",
                "]",
                "\n",
                "\n  ",
                "&a",
                "*a",
                "!!",
                "|",
                ">",
                "%",
                "\"",
                "'",
                "#",
                "? ",
                "1e999",
                ".nan",
                "-1",
                "99999999999",
                "µ",
                "\u00A0",
                "<<: ",
                "---\n",
                "format: 1\n",
                "scale: 0\n"
            ),
            64 * 1024 * 1024
        );

    private static byte[][] Words(params string[] words) => [.. words.Select(Encoding.UTF8.GetBytes)];

    private static int Number(byte[] input)
    {
        var flag = NumericReply.Read(input, out var value);
        var isNumber = NumericReply.IsNumber(input.AsSpan().Trim(" \t\r"u8));
        var isGood = flag == IndicationFlag.Good;
        if (isGood && !(isNumber && double.IsFinite(value) && Math.Abs(value) < 1e37))
            throw new InvalidOperationException($"{value:R} was taken for a good number");
        if (!isGood && value != 0)
            throw new InvalidOperationException($"a flag came with the value {value:R}");
        if (isGood && value != Standing(input))
            throw new InvalidOperationException($"{value:R} is not what stands there");
        return (int)flag * 8 + (isNumber ? 4 : 0) + (value < 0 ? 2 : 0) + (value == Math.Truncate(value) ? 1 : 0);
    }

    private static double Standing(byte[] text) =>
        double.Parse(Encoding.Latin1.GetString(text).Trim(' ', '\t', '\r'), CultureInfo.InvariantCulture);

    private static int Text(byte[] input)
    {
        var text = Encoding.Latin1.GetString(input);
        var end = 0;
        if (ErrorQueue.TryRead(text, out var number, out var words))
            end += 1 + (words.Length > 0 ? 2 : 0) + Math.Sign(number) * 64;
        if (Identification.Read(text) is not null)
            end += 4;
        if (TextReply.TryTruth(text, out _))
            end += 8;
        if (TextReply.TryText(text, out var inner))
        {
            if (inner.Length > text.Length - 2)
                throw new InvalidOperationException("a text is longer than its quotes allow");
            end += 16;
        }
        if (TextReply.TryWhole(text, out _))
            end += 32;
        return end;
    }

    private static int Bytes(byte[] input)
    {
        var line = Line.Examine(input);
        Laws.Hold(line, input.Length);
        if (line.Verdict == Verdict.Reply && Line.Line.Contains((byte)'\n'))
            throw new InvalidOperationException("a line has an end inside");
        var block = Block.Examine(input);
        Laws.Hold(block, input.Length);
        if (block.Verdict == Verdict.Reply && Block.Line.Length > block.Used)
            throw new InvalidOperationException("a block is longer than what it was taken from");
        return ((int)line.Verdict * 10 + (int)block.Verdict) * 32 + Math.Min(block.Used, 31);
    }

    private static int Definition(byte[] input)
    {
        var read = DefinitionReader.Read("fuzz.yaml", input);
        if (read.Value is null && read.Findings.IsEmpty)
            throw new InvalidOperationException("no definition, and no word why");
        // What was said, but for its numbers, tells one kind of end from another.
        var first = read.Findings.IsEmpty ? "sound" : read.Findings[0].Message;
        return first.Where(char.IsAsciiLetter).Take(60).Aggregate(17, (sum, c) => unchecked(31 * sum + c));
    }
}
