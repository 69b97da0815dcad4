using System.Text;

namespace LoadTest.Instruments.Scpi;

/// <summary>Text on the wire: seven bits, shown in hex when it is not.</summary>
internal static class Ascii
{
    /// <summary>Without blanks, tabs and carriage returns at either end.</summary>
    public static ReadOnlySpan<byte> Trimmed(ReadOnlySpan<byte> text) => text.Trim(" \t\r"u8);

    /// <summary>The text; bytes that cannot be printed make it a row of hex instead, at most 32 bytes of it.</summary>
    public static string Shown(ReadOnlySpan<byte> bytes)
    {
        if (bytes.IsEmpty)
            return "nothing";
        var most = bytes[..Math.Min(bytes.Length, 32)];
        var tail = bytes.Length > most.Length ? $" and {bytes.Length - most.Length} bytes more" : "";
        var isText = bytes.IndexOfAnyExceptInRange((byte)' ', (byte)'~') < 0;
        return isText ? $"\"{Encoding.ASCII.GetString(most)}\"{tail}" : $"bytes {Convert.ToHexString(most)}{tail}";
    }
}
