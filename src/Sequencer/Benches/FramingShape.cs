using System.Collections.Immutable;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>How the lines of a text protocol are framed.</summary>
internal static class FramingShape
{
    private static readonly ImmutableArray<(string Word, LineChecksum Kind)> Checksums =
    [
        ("none", LineChecksum.None),
        ("sum 8", LineChecksum.Sum8),
        ("complement 8", LineChecksum.Complement8),
        ("xor 8", LineChecksum.Xor8),
        ("crc 16", LineChecksum.Crc16),
    ];

    private static readonly Key<string> SentEnd = Key.Required("sent ends with", Ends(), "What ends a request.");
    private static readonly Key<string> ReplyEnd = Key.Required("replies end with", Ends(), "What ends a reply.");
    private static readonly Key<LineChecksum> Checksum = Key.Required(
        "checksum",
        new WordShape<LineChecksum>(Checksums),
        "Check of each line, as hexadecimal digits before its end; `none` leaves noise unseen."
    );
    private static readonly Key<char> Mark = Key.Optional(
        "checksum mark",
        new MarkShape(),
        "Character between line and check digits; the check is over everything before it."
    );
    private static readonly Key<bool> Echo = Key.Required(
        "echo",
        Of.YesNo,
        "Whether every request comes back before its reply."
    );
    private static readonly Key<ImmutableArray<TextPattern>> Refusals = Key.Optional(
        "refusals",
        Of.List(new TextPatternShape("ERR <code integer>"), 1, 10, "[ERR <code integer>]"),
        "Replies by which it refuses a request."
    );
    private static readonly Key<TextExchange> StepCheck = Key.Optional(
        "step check",
        TextExchangeShape.Exchange(("ECHO <token hex 4>", "ECHO <token hex 4>"), ["token"], ["token"]),
        "A question whose answer repeats a number we choose: it tells late answers from new ones. Without it the identity is asked again."
    );

    /// <summary>The framing.</summary>
    internal static readonly MappingShape<TextFraming> Framing = new(
        "framing",
        Of.Keys(SentEnd, ReplyEnd, Checksum, Mark, Echo, Refusals, StepCheck),
        f => new TextFraming(
            f.Get(SentEnd),
            f.Get(ReplyEnd),
            f.Get(Checksum),
            f.MaybeValue(Mark),
            f.Get(Echo),
            f.Get(Refusals, []),
            f.Maybe(StepCheck)
        ),
        f =>
        {
            if (f.Has(Mark) && f.TryGet(Checksum, out var kind) && kind == LineChecksum.None)
            {
                f.Findings.Error(f.PlaceOf(Mark), "`checksum mark` means nothing where `checksum` is none. Delete it.");
            }
        }
    );

    /// <summary>A check as files name it: <c>xor 8</c>.</summary>
    internal static string Word(LineChecksum checksum) => Checksums.First(c => c.Kind == checksum).Word;

    private static WordShape<string> Ends() => new([("CR LF", "\r\n"), ("CR", "\r"), ("LF", "\n")]);

    private sealed class MarkShape : ScalarShape<char>
    {
        internal override string Example => "*";

        internal override string? Read(string text, Place place, out char value)
        {
            value = text.Length == 1 ? text[0] : ' ';
            return value is > ' ' and <= '~' && !char.IsAsciiLetterOrDigit(value)
                ? null
                : $"`{QuantityText.Short(text)}` is not one printable character that is neither letter nor digit, for example `{Example}`.";
        }

        internal override JsonObject Schema(SchemaParts parts) => Pattern("^[!-/:-@\\[-`{-~]$");
    }
}
