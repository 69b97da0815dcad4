namespace LoadTest.Instruments.Scpi;

/// <summary>What is no number in a reply: a truth value, a text in quotes, a whole number in another base.</summary>
internal static class TextReply
{
    private const int MostBits = 32;

    /// <summary>A truth value: 1 or 0, as the standard has it, or ON or OFF.</summary>
    /// <remarks>SCPI-99 volume 1, 7.3: a query of a truth value answers 1 or 0.</remarks>
    public static bool TryTruth(string reply, out bool value)
    {
        var text = reply.AsSpan().Trim();
        value = text is "1" or "+1" || text.Equals("ON", StringComparison.OrdinalIgnoreCase);
        return value || text is "0" or "+0" || text.Equals("OFF", StringComparison.OrdinalIgnoreCase);
    }

    /// <summary>A text in quotes, either kind, which stand twice where they are meant inside.</summary>
    /// <remarks>IEEE 488.2, 8.7.8, whose replies use the double quote: <c>"say ""on"""</c> is: say "on".</remarks>
    public static bool TryText(string reply, out string value)
    {
        value = "";
        var text = reply.AsSpan().Trim();
        if (text.Length < 2 || text[0] is not ('"' or '\'') || text[^1] != text[0])
            return false;
        var inner = text[1..^1];
        var (one, two) = (text[..1].ToString(), new string(text[0], 2));
        for (var at = inner.IndexOf(one, StringComparison.Ordinal); at >= 0; )
        {
            if (at + 1 >= inner.Length || inner[at + 1] != text[0])
                return false;
            var next = inner[(at + 2)..].IndexOf(one, StringComparison.Ordinal);
            at = next < 0 ? -1 : at + 2 + next;
        }
        value = inner.ToString().Replace(two, one, StringComparison.Ordinal);
        return true;
    }

    /// <summary>A whole number from 0 on, as a register answers: decimal, or <c>#H20</c>, <c>#Q40</c>, <c>#B100000</c>.</summary>
    /// <remarks>IEEE 488.2, 8.7.2 and 8.7.5 to 8.7.7 (numbers of the last from memory).</remarks>
    public static bool TryWhole(string reply, out uint value)
    {
        value = 0;
        var text = reply.AsSpan().Trim();
        var bits = text.Length < 3 || text[0] != '#' ? 0 : Bits(text[1]);
        if (bits == 0)
            return uint.TryParse(
                text,
                System.Globalization.NumberStyles.AllowLeadingSign,
                System.Globalization.CultureInfo.InvariantCulture,
                out value
            );
        ulong found = 0;
        foreach (var c in text[2..])
        {
            var digit = char.IsAsciiHexDigit(c) ? Convert.ToInt32(c.ToString(), 16) : int.MaxValue;
            if (digit >= 1 << bits || found >> (MostBits - bits) != 0)
                return false;
            found = found << bits | (uint)digit;
        }
        value = (uint)found;
        return true;
    }

    private static int Bits(char kind) =>
        char.ToUpperInvariant(kind) switch
        {
            'H' => 4,
            'Q' => 3,
            'B' => 1,
            _ => 0,
        };
}
