using System.Text;

namespace LoadTest.Sequencer.Text;

/// <summary>The bytes of a file a person edits, taken as text only when nothing in them can hide or explode.</summary>
internal static class FileText
{
    /// <summary>Largest file, bytes: 256 KiB. The longest of ours is a twentieth of that.</summary>
    internal const int MostBytes = 256 * 1024;

    private static readonly UTF8Encoding Strict = new(
        encoderShouldEmitUTF8Identifier: false,
        throwOnInvalidBytes: true
    );

    /// <summary>The text, byte order mark taken off; null with findings when the bytes are refused.</summary>
    internal static string? Read(ReadOnlySpan<byte> bytes, FindingList findings)
    {
        if (bytes.Length > MostBytes)
        {
            findings.Error(
                new Place(findings.File, 0, 0),
                $"The file is longer than {MostBytes / 1024} KiB, the most that is read. Check that this is the file you meant."
            );
            return null;
        }
        if (bytes.StartsWith("\uFEFF"u8))
        {
            bytes = bytes[3..];
        }
        if (FirstBadByte(bytes) is { } bad)
        {
            findings.Error(
                PlaceOf(findings.File, bytes, bad),
                $"Byte 0x{bytes[bad]:X2} is not UTF-8 text. Save the file with the encoding UTF-8."
            );
            return null;
        }
        var text = Strict.GetString(bytes);
        return HasOnlyPlainCharacters(text, findings) ? text : null;
    }

    private static int? FirstBadByte(ReadOnlySpan<byte> bytes)
    {
        var at = 0;
        while (at < bytes.Length)
        {
            if (Rune.DecodeFromUtf8(bytes[at..], out _, out var used) != System.Buffers.OperationStatus.Done)
            {
                return at;
            }
            at += used;
        }
        return null;
    }

    private static Place PlaceOf(string file, ReadOnlySpan<byte> bytes, int at)
    {
        var before = bytes[..at];
        var line = before.Count((byte)'\n') + 1;
        var start = before.LastIndexOf((byte)'\n') + 1;
        return new Place(file, line, Encoding.UTF8.GetCharCount(before[start..]) + 1);
    }

    private static bool HasOnlyPlainCharacters(string text, FindingList findings)
    {
        var sound = true;
        var (line, column) = (1, 1);
        for (var i = 0; i < text.Length; i++, column++)
        {
            var c = text[i];
            if (c == '\n')
            {
                (line, column) = (line + 1, 0);
            }
            else if (WhyRefused(text, i) is { } why)
            {
                findings.Error(new Place(findings.File, line, column), why);
                sound = false;
            }
        }
        return sound;
    }

    private static string? WhyRefused(string text, int at)
    {
        var c = text[at];
        return c switch
        {
            '\t' => "A tab stands here. Indent and separate with spaces only.",
            '\r' when at + 1 < text.Length && text[at + 1] == '\n' => null,
            '\r' => "A lone carriage return stands here. End lines with a line feed.",
            < ' ' or (>= '\u007F' and <= '\u009F') => $"Control character U+{(int)c:X4} stands here. Delete it.",
            '\u2028' or '\u2029' => $"Line separator U+{(int)c:X4} stands here. End lines with a line feed.",
            _ when VisibleText.IsHidden(text, at) && !char.IsLowSurrogate(c) =>
                $"Invisible character U+{char.ConvertToUtf32(text, at):X4} stands here, which can make a file read otherwise than it looks. Delete it.",
            _ => null,
        };
    }
}
