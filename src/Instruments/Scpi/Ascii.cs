using System.Text;

namespace LoadTest.Instruments.Scpi;

/// <summary>Text on the wire: seven bits, shown in hex when it is not.</summary>
internal static class Ascii
{
    /// <summary>Without blanks, tabs and carriage returns at either end.</summary>
    public static ReadOnlySpan<byte> Trimmed(ReadOnlySpan<byte> text) => text.Trim(" \t\r"u8);

    /// <summary>A line with its end written out: <c>OK&lt;CR&gt;&lt;LF&gt;</c>.</summary>
    private static string Line(ReadOnlySpan<byte> line) =>
        Encoding
            .ASCII.GetString(line)
            .Replace("\r", "<CR>", StringComparison.Ordinal)
            .Replace("\n", "<LF>", StringComparison.Ordinal);

    /// <summary>The text; bytes that cannot be printed make it a row of hex instead, at most 32 bytes of it.</summary>
    public static string Shown(ReadOnlySpan<byte> bytes)
    {
        if (bytes.IsEmpty)
            return "nothing";
        var most = bytes[..Math.Min(bytes.Length, 32)];
        var tail = bytes.Length > most.Length ? $" and {bytes.Length - most.Length} bytes more" : "";
        var isText = bytes.TrimEnd("\r\n"u8).IndexOfAnyExceptInRange((byte)' ', (byte)'~') < 0;
        return isText ? $"\"{Line(most)}\"{tail}" : $"bytes {Convert.ToHexString(most)}{tail}";
    }
}
