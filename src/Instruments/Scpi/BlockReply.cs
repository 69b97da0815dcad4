using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Scpi;

/// <summary>A block of bytes as an instrument sends it: of stated length, or up to the end of the message.</summary>
/// <remarks>
/// IEEE 488.2, 8.7.9 and 8.7.10. <c>#15HELLO</c> is five bytes; <c>#204ABCD</c> four; <c>#0</c> and bytes up to the line feed that
/// ends the message. A wire without an END line cannot tell a line feed inside the last kind from its end: it ends there.
/// </remarks>
internal static class BlockReply
{
    /// <summary>Most bytes a block may have here.</summary>
    public const int MostBytes = 60_000;

    /// <summary>Longest heading: mark, count of digits, nine digits.</summary>
    private const int MostHeading = 11;

    private const int MostTail = 2;

    /// <summary>Whether the received bytes are a block and its terminator, and where its bytes stand.</summary>
    public static Examined Examine(ReadOnlySpan<byte> received, out Range block)
    {
        block = default;
        if (received.IsEmpty)
            return More;
        var start = received.IndexOfAnyExcept((byte)' ', (byte)'\t');
        if (start < 0)
            return received.Length > MostHeading ? Garbage(received) : More;
        if (received[start] != '#' || start > MostHeading)
            return Garbage(received);
        var heading = received[start..];
        if (heading.Length < 2)
            return More;
        var digits = heading[1] - '0';
        return digits switch
        {
            0 => Indefinite(received, start + 2, out block),
            >= 1 and <= 9 => Definite(received, start + 2, digits, out block),
            _ => Garbage(received),
        };
    }

    private static Examined Definite(ReadOnlySpan<byte> received, int at, int digits, out Range block)
    {
        block = default;
        long length = 0;
        for (var k = 0; k < digits; k++)
        {
            if (received.Length <= at + k)
                return More;
            if (received[at + k] is not (>= (byte)'0' and <= (byte)'9'))
                return Garbage(received);
            length = 10 * length + (received[at + k] - '0');
        }
        if (length > MostBytes)
            return Garbage(received);
        var start = at + digits;
        var end = start + (int)length;
        if (received.Length <= end)
            return More;
        var tail = received[end..];
        var used = tail[0] == '\r' ? MostTail : 1;
        if (tail.Length < used)
            return More;
        if (tail[used - 1] != '\n')
            return Garbage(received);
        block = start..end;
        return new Examined(Verdict.Reply, end + used);
    }

    private static Examined Indefinite(ReadOnlySpan<byte> received, int start, out Range block)
    {
        block = default;
        var length = received[start..].IndexOf((byte)'\n');
        if (length > MostBytes || (length < 0 && received.Length - start > MostBytes))
            return Garbage(received);
        if (length < 0)
            return More;
        block = start..(start + length);
        return new Examined(Verdict.Reply, start + length + 1);
    }

    private static Examined More => new(Verdict.More, 0);

    private static Examined Garbage(ReadOnlySpan<byte> received) => new(Verdict.Garbage, received.Length);
}
