using System.Text;
using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>Reads the rows of a table in comma-separated values (RFC 4180), each cell with its line and column.</summary>
/// <remarks>
/// Semicolons separate where the first row has one outside quotes. Blank lines and lines that begin with <c>#</c> are skipped. A quoted cell
/// ends on its own line: one that does not is a missing quote, not a note of many lines.
/// </remarks>
internal static class CsvTable
{
    /// <summary>The rows that hold anything; with findings where a line cannot be read.</summary>
    /// <param name="file">The file's name as it was given.</param>
    /// <param name="text">Its text.</param>
    /// <param name="findings">Where trouble goes.</param>
    public static IReadOnlyList<IReadOnlyList<CsvCell>> Rows(string file, string text, FindingList findings)
    {
        var rows = new List<IReadOnlyList<CsvCell>>();
        var number = 0;
        char? separator = null;
        foreach (var line in text.Split('\n'))
        {
            number++;
            var content = line.TrimEnd('\r');
            if (content.AsSpan().Trim().IsEmpty || content.TrimStart().StartsWith('#'))
                continue;
            separator ??= HasSemicolon(content) ? ';' : ',';
            if (Cells(file, number, content, separator.Value, findings) is { } cells)
                rows.Add(cells);
        }
        return rows;
    }

    private static bool HasSemicolon(string line)
    {
        var isQuoted = false;
        foreach (var c in line)
        {
            isQuoted ^= c == '"';
            if (c == ';' && !isQuoted)
                return true;
        }
        return false;
    }

    private static List<CsvCell>? Cells(string file, int number, string line, char separator, FindingList findings)
    {
        var cells = new List<CsvCell>();
        var at = 0;
        while (true)
        {
            while (at < line.Length && line[at] == ' ')
                at++;
            var place = new Place(file, number, at + 1);
            if (at < line.Length && line[at] == '"')
            {
                if (Quoted(line, ref at) is not { } quoted)
                {
                    findings.Error(place, "A quoted cell does not end on its line. Close the quote, or leave it out.");
                    return null;
                }
                cells.Add(new CsvCell(place, quoted.Trim()));
            }
            else
            {
                var end = line.IndexOf(separator, at);
                end = end < 0 ? line.Length : end;
                cells.Add(new CsvCell(place, line[at..end].Trim()));
                at = end;
            }
            while (at < line.Length && line[at] == ' ')
                at++;
            if (at >= line.Length)
                return cells;
            if (line[at] != separator)
            {
                findings.Error(
                    new Place(file, number, at + 1),
                    $"`{line[at]}` follows a closed quote. After a quoted cell stands `{separator}` or the end of the line."
                );
                return null;
            }
            at++;
        }
    }

    // Two quotes within a quoted cell are one.
    private static string? Quoted(string line, ref int at)
    {
        var text = new StringBuilder();
        for (var i = at + 1; i < line.Length; i++)
        {
            if (line[i] != '"')
            {
                text.Append(line[i]);
            }
            else if (i + 1 < line.Length && line[i + 1] == '"')
            {
                text.Append('"');
                i++;
            }
            else
            {
                at = i + 1;
                return text.ToString();
            }
        }
        return null;
    }
}
