using System.Globalization;
using System.Text;

namespace LoadTest.Commands;

/// <summary>Breaks long lines between words for a terminal, continued under where the text of the line begins.</summary>
internal static class WrappedText
{
    /// <summary>Narrower than this nothing is wrapped: the terminal breaks lines itself.</summary>
    private const int LeastWidth = 40;

    private const int FurthestIndent = 12;
    private const int UsualIndent = 2;

    /// <summary>The text with every line at most so wide, unless one word is wider.</summary>
    /// <param name="text">Any text, of one line or several.</param>
    /// <param name="width">Columns of the terminal; null for no terminal, which takes any length.</param>
    public static string Of(string text, int? width) =>
        width is not { } columns || columns < LeastWidth
            ? text
            : string.Join('\n', text.Split('\n').Select(line => Line(line, columns)));

    private static string Line(string line, int width)
    {
        if (Width(line) <= width)
            return line;
        var indent = Indent(line);
        var wrapped = new StringBuilder(line, 0, indent, line.Length + 40);
        var used = indent;
        var isFirst = true;
        foreach (var word in line[indent..].Split(' '))
        {
            var length = Width(word);
            if (!isFirst && used + 1 + length > width)
            {
                wrapped.Append('\n').Append(' ', indent == 0 ? UsualIndent : indent);
                used = indent == 0 ? UsualIndent : indent;
            }
            else if (!isFirst)
            {
                wrapped.Append(' ');
                used++;
            }
            wrapped.Append(word);
            used += length;
            isFirst = false;
        }
        return wrapped.ToString();
    }

    // "  2:41.8  load off: ..." goes on under "load"; "- of a list" under "of".
    private static int Indent(string line)
    {
        var at = 0;
        for (var k = 0; k < Math.Min(line.Length - 1, FurthestIndent); k++)
        {
            var isGap = line[k] == ' ' && (k == 0 || line[k - 1] == ' ' || line[k - 1] == '-');
            if (isGap && line[k + 1] != ' ')
                at = k + 1;
        }
        return at;
    }

    private static int Width(string text) => new StringInfo(text).LengthInTextElements;
}
