using System.Globalization;
using System.Text;

namespace LoadTest.Sequencer.Text;

/// <summary>Makes characters visible that steer a terminal or hide in a text: they are shown as their numbers.</summary>
/// <remarks>
/// Control characters, line and paragraph separators, and format characters (Unicode category Cf: bidirectional marks, zero-width
/// characters, tags), and half surrogates. The escape character becomes <c>&lt;U+001B&gt;</c>.
/// </remarks>
public static class VisibleText
{
    /// <summary>The text with a mark for each hidden character; the same text where there is none.</summary>
    /// <param name="text">Any text.</param>
    /// <param name="keepsLines">Whether line feeds stay, in text that may have several lines.</param>
    public static string Of(string text, bool keepsLines = false)
    {
        ArgumentNullException.ThrowIfNull(text);
        var at = First(text, keepsLines);
        if (at < 0)
            return text;
        var shown = new StringBuilder(text, 0, at, text.Length + 16);
        while (at < text.Length)
        {
            var length = Rune.TryGetRuneAt(text, at, out var rune) ? rune.Utf16SequenceLength : 1;
            if ((keepsLines && text[at] == '\n') || !IsHidden(text, at))
                shown.Append(text, at, length);
            else
                shown.Append(CultureInfo.InvariantCulture, $"<U+{(length == 1 ? text[at] : rune.Value):X4}>");
            at += length;
        }
        return shown.ToString();
    }

    /// <summary>A JSON text that says the same, with each hidden character in it as its escape: <c>\u202E</c>.</summary>
    /// <param name="json">Sound JSON, whose hidden characters other than line feeds stand inside strings.</param>
    public static string OfJson(string json)
    {
        ArgumentNullException.ThrowIfNull(json);
        if (First(json, keepsLines: true) < 0)
            return json;
        var escaped = new StringBuilder(json.Length + 32);
        for (var at = 0; at < json.Length; at++)
        {
            var length = Rune.TryGetRuneAt(json, at, out var rune) ? rune.Utf16SequenceLength : 1;
            var isPlain = json[at] == '\n' || !IsHidden(json, at);
            foreach (var unit in json.AsSpan(at, length))
                _ = isPlain ? escaped.Append(unit) : escaped.Append(CultureInfo.InvariantCulture, $"\\u{(int)unit:X4}");
            at += length - 1;
        }
        return escaped.ToString();
    }

    /// <summary>Whether the character at a place steers or hides.</summary>
    internal static bool IsHidden(string text, int at) =>
        text[at] is (< ' ' or > '~')
        && CharUnicodeInfo.GetUnicodeCategory(text, at)
            is UnicodeCategory.Control
                or UnicodeCategory.Format
                or UnicodeCategory.LineSeparator
                or UnicodeCategory.ParagraphSeparator
                or UnicodeCategory.Surrogate;

    private static int First(string text, bool keepsLines)
    {
        for (var at = 0; at < text.Length; at++)
        {
            if (IsHidden(text, at) && !(keepsLines && text[at] == '\n'))
            {
                // The second half of a sound pair is no character of its own.
                if (char.IsLowSurrogate(text[at]) && at > 0 && char.IsHighSurrogate(text[at - 1]))
                    continue;
                return at;
            }
        }
        return -1;
    }
}
