using System.Collections.Immutable;

namespace LoadTest.Sequencer.Benches;

/// <summary>A line of a text protocol as a definition writes it: fixed characters and named fields.</summary>
/// <param name="Written">As it stands in the file, for messages.</param>
/// <param name="Parts">Fixed characters and fields, in order.</param>
/// <remarks>
/// There is nothing to search: each field takes as many characters of its own kind as there are, up to its width, and what may
/// follow it begins with a character of another kind. A line is therefore matched in one pass, whatever it holds.
/// </remarks>
public sealed record TextPattern(string Written, ImmutableArray<TextPart> Parts)
{
    /// <summary>Names of its fields, in order.</summary>
    public IEnumerable<string> Names => Parts.OfType<TextPart.Field>().Select(f => f.Name);

    /// <inheritdoc/>
    public override string ToString() => Written;
}

/// <summary>A part of a line.</summary>
public abstract record TextPart
{
    /// <summary>Characters that stand there as they are.</summary>
    public sealed record Fixed(string Characters) : TextPart;

    /// <summary>A value with a name.</summary>
    /// <param name="Name">Its name.</param>
    /// <param name="Form">How it is written.</param>
    /// <param name="Width">Characters of a form that has a width of its own; 0 otherwise.</param>
    public sealed record Field(string Name, FieldForm Form, int Width) : TextPart;
}

/// <summary>How a value is written in a line.</summary>
public enum FieldForm
{
    /// <summary><c>number</c>: sign, digits with a point, exponent; as IEEE 488.2 NR1, NR2, NR3.</summary>
    Number,

    /// <summary><c>integer</c>: sign and digits.</summary>
    Integer,

    /// <summary><c>hex N</c>: just N hexadecimal digits; of elements, the lowest bit is element 1.</summary>
    Hex,

    /// <summary><c>bits N</c>: just N characters 0 or 1; of elements, the first is element 1.</summary>
    Bits,

    /// <summary><c>word</c>: letters, digits, and - _ . /.</summary>
    Word,
}

/// <summary>A request of a text protocol and the reply that belongs to it; a field that stands in both has one value.</summary>
/// <param name="Send">The request.</param>
/// <param name="Reply">Its reply.</param>
public sealed record TextExchange(TextPattern Send, TextPattern Reply);

/// <summary>How lines of a text protocol are framed.</summary>
/// <param name="SentEnd">What ends a request.</param>
/// <param name="ReplyEnd">What ends a reply.</param>
/// <param name="Checksum">The check of each line.</param>
/// <param name="ChecksumMark">Character between line and check digits; null when there is none.</param>
/// <param name="HasEcho">Whether every request comes back before its reply.</param>
/// <param name="Refusals">Replies that refuse a request.</param>
/// <param name="StepCheck">A question whose answer repeats a number chosen by the asker; null when the instrument has none.</param>
public sealed record TextFraming(
    string SentEnd,
    string ReplyEnd,
    LineChecksum Checksum,
    char? ChecksumMark,
    bool HasEcho,
    ImmutableArray<TextPattern> Refusals,
    TextExchange? StepCheck
);

/// <summary>The check of a line: over every character before its mark, as hexadecimal digits.</summary>
public enum LineChecksum
{
    /// <summary><c>none</c>.</summary>
    None,

    /// <summary><c>sum 8</c>: sum of the bytes, modulo 256; two digits.</summary>
    Sum8,

    /// <summary><c>complement 8</c>: two's complement of that sum; two digits.</summary>
    Complement8,

    /// <summary><c>xor 8</c>: exclusive or of the bytes; two digits.</summary>
    Xor8,

    /// <summary><c>crc 16</c>: polynomial 8005 hex reflected, start FFFF; four digits.</summary>
    Crc16,
}
