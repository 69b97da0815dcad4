using System.Globalization;
using System.Text;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments.Text;

/// <summary>Lines of a text protocol as bytes: check digits and terminator put on, and taken off again.</summary>
internal static class TextLines
{
    /// <summary>Longest reply taken as a line.</summary>
    public const int MostReplyBytes = 512;

    /// <summary>The bytes of a request.</summary>
    public static byte[] Encode(TextFraming framing, string line)
    {
        var mark = framing.ChecksumMark is { } c ? c.ToString() : "";
        return Encoding.ASCII.GetBytes(
            line + (framing.Checksum == LineChecksum.None ? "" : mark + Check(framing.Checksum, line)) + framing.SentEnd
        );
    }

    /// <summary>Whether the check of a reply is right, and the reply without it.</summary>
    /// <param name="framing">How lines are framed.</param>
    /// <param name="received">A line without its terminator.</param>
    /// <param name="line">The line without check digits; the whole when they are wrong or missing.</param>
    public static bool IsSound(TextFraming framing, string received, out string line) =>
        CheckWords(framing, received, out line) is null;

    /// <summary>What is wrong with the check of a reply, as a clause; null when it is right, or none is asked for.</summary>
    /// <param name="framing">How lines are framed.</param>
    /// <param name="received">A line without its terminator.</param>
    /// <param name="line">The line without check digits; the whole when they are wrong or missing.</param>
    public static string? CheckWords(TextFraming framing, string received, out string line)
    {
        line = received;
        if (framing.Checksum == LineChecksum.None)
            return null;
        var kind = FramingShape.Word(framing.Checksum);
        var digits = framing.Checksum == LineChecksum.Crc16 ? 4 : 2;
        var marks = framing.ChecksumMark is null ? 0 : 1;
        var length = received.Length - digits - marks;
        if (length < 1 || (marks == 1 && received[length] != framing.ChecksumMark))
            return $"it has no check ({kind}) at its end{(marks == 1 ? $" behind {framing.ChecksumMark}" : "")}";
        var (found, computed) = (received[(length + marks)..], Check(framing.Checksum, received[..length]));
        if (!string.Equals(found, computed, StringComparison.OrdinalIgnoreCase))
            return $"its check ({kind}) is {found} where its characters give {computed}";
        line = received[..length];
        return null;
    }

    /// <summary>The check digits of a line.</summary>
    /// <remarks>
    /// Of "123456789": sum DD, complement 23, exclusive or 31 (by hand: the sum of 31 to 39 hex is 1DD hex), CRC 4B37 (the check
    /// value of CRC-16/MODBUS in the catalogue of parametrised CRC algorithms).
    /// </remarks>
    public static string Check(LineChecksum kind, string line)
    {
        var bytes = Encoding.ASCII.GetBytes(line);
        return kind switch
        {
            LineChecksum.Sum8 => Two(bytes.Sum(b => b)),
            LineChecksum.Complement8 => Two(256 - bytes.Sum(b => b) % 256),
            LineChecksum.Xor8 => Two(bytes.Aggregate(0, (x, b) => x ^ b)),
            LineChecksum.Crc16 => Crc16.Of(bytes).ToString("X4", CultureInfo.InvariantCulture),
            _ => "",
        };
    }

    private static string Two(int value) => (value % 256).ToString("X2", CultureInfo.InvariantCulture);
}
