using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>Reads volt-amp readings taken by hand or elsewhere from a table with heads and units.</summary>
/// <remarks>
/// The first row names the columns: a current and a voltage, each with its unit, then if known their standard uncertainties, then if
/// there are several curves a column <c>curve</c>. Units may instead stand in a row of their own below. Everything that is wrong is said
/// in one go; a table with an error gives no curve at all, because a curve with a point missing is another curve.
/// </remarks>
internal static class CurveFile
{
    /// <summary>The curves of a file; none when a finding is an error.</summary>
    /// <param name="file">Its name as it was given.</param>
    /// <param name="bytes">Its bytes.</param>
    public static (ImmutableArray<GivenCurve> Curves, ImmutableArray<Finding> Findings) Read(
        string file,
        ReadOnlySpan<byte> bytes
    )
    {
        var findings = new FindingList(file);
        if (bytes.IndexOf((byte)'\t') is >= 0 and var tab)
        {
            findings.Error(
                PlaceOf(file, bytes[..tab]),
                "A tab stands here. Save the table as comma-separated values, with decimal points."
            );
            return ([], findings.Sorted());
        }
        var curves =
            FileText.Read(bytes, findings) is { } text && findings.Errors == 0 ? Curves(file, text, findings) : [];
        return (findings.Errors == 0 ? curves : [], findings.Sorted());
    }

    /// <summary>The place behind these bytes, in characters as the file's editor counts them.</summary>
    private static Place PlaceOf(string file, ReadOnlySpan<byte> before)
    {
        var line = before[(before.LastIndexOf((byte)'\n') + 1)..];
        return new Place(file, before.Count((byte)'\n') + 1, Encoding.UTF8.GetCharCount(line) + 1);
    }

    private static ImmutableArray<GivenCurve> Curves(string file, string text, FindingList findings)
    {
        var rows = CsvTable.Rows(file, text, findings);
        if (rows.Count == 0)
        {
            findings.Error(
                new Place(file, 0, 0),
                "The file holds no table. Write a row of heads, `current (A),voltage (V)`, and a row for each reading."
            );
            return [];
        }
        if (CurveHead.Read(rows, findings) is not { } head)
            return [];
        var points = new List<(string Curve, IReadOnlyList<CsvCell> Row, VoltAmpPoint Point)>();
        foreach (var row in rows.Skip(head.Rows))
        {
            if (Point(row, head, findings) is { } point)
                points.Add((Named(row, head, file), row, point));
        }
        if (points.Count == 0 && findings.Errors == 0)
            findings.Error(new Place(file, 0, 0), "The table has heads and no readings below them.");
        return
        [
            .. points
                .GroupBy(p => p.Curve, StringComparer.Ordinal)
                .Select(g => new GivenCurve(
                    g.Key,
                    g.First().Row[0].Place,
                    [.. g.Select(p => p.Point)],
                    Digit(g.Select(p => p.Row), head, ColumnKind.Current),
                    Digit(g.Select(p => p.Row), head, ColumnKind.Voltage)
                )),
        ];
    }

    // The finest of the column: who writes 70 above 67.5 means 70.0.
    private static double Digit(IEnumerable<IReadOnlyList<CsvCell>> rows, CurveHead head, ColumnKind kind)
    {
        var at = head.Index(kind)!.Value;
        var power = CurveColumn.Meaning(head.Columns[at].Written)!.Value.Power;
        return Math.Pow(10, power + rows.Min(r => LastDigit(r[at].Text)));
    }

    // Power of ten of a number's last digit as it is written: 67.5 has −1, 1.25e3 has 1.
    private static int LastDigit(string text)
    {
        var mark = text.IndexOfAny(['e', 'E']);
        var mantissa = mark < 0 ? text : text[..mark];
        var exponent =
            mark < 0 ? 0 : int.Parse(text[(mark + 1)..].Replace('\u2212', '-'), CultureInfo.InvariantCulture);
        var point = mantissa.IndexOf('.', StringComparison.Ordinal);
        return exponent - (point < 0 ? 0 : mantissa.Length - point - 1);
    }

    private static string Named(IReadOnlyList<CsvCell> row, CurveHead head, string file)
    {
        var name = head.Index(ColumnKind.Curve) is { } at ? row[at].Text : "";
        return name.Length > 0 ? name : Path.GetFileNameWithoutExtension(file);
    }

    private static VoltAmpPoint? Point(IReadOnlyList<CsvCell> row, CurveHead head, FindingList findings)
    {
        if (row.Count != head.Columns.Length)
        {
            findings.Error(
                row[Math.Min(head.Columns.Length, row.Count - 1)].Place,
                $"This row has {row.Count} cell{(row.Count == 1 ? "" : "s")} and the row of heads {head.Columns.Length}. Give every row one cell for each head; a decimal comma would make two of one."
            );
            return null;
        }
        var before = findings.Errors;
        double? Number(ColumnKind kind, bool isUncertainty = false) =>
            head.Index(kind) is { } at ? Value(row[at], head.Columns[at], isUncertainty, findings) : null;
        var point = new VoltAmpPoint(
            Number(ColumnKind.Current) ?? 0,
            Number(ColumnKind.Voltage) ?? 0,
            Number(ColumnKind.CurrentUncertainty, isUncertainty: true),
            Number(ColumnKind.VoltageUncertainty, isUncertainty: true)
        );
        return findings.Errors == before ? point : null;
    }

    private static double Value(CsvCell cell, CurveColumn column, bool isUncertainty, FindingList findings)
    {
        var meaning = CurveColumn.Meaning(column.Written)!.Value;
        if (cell.Text.Length == 0)
        {
            findings.Error(
                cell.Place,
                isUncertainty
                    ? "An uncertainty is missing here. State it for every reading, or leave the column out."
                    : "A reading is missing here. Write it, or take the row out."
            );
            return 0;
        }
        if (NumberText.LengthAtStart(cell.Text) != cell.Text.Length)
        {
            findings.Error(
                cell.Place,
                $"`{QuantityText.Short(cell.Text)}` is not a number. Write a number in {column.Written}, the unit of this column, and nothing else."
            );
            return 0;
        }
        if (NumberText.Read(cell.Text, meaning.Power, out var value) is { } trouble)
        {
            findings.Error(cell.Place, $"`{QuantityText.Short(cell.Text)}` {trouble}.");
            return 0;
        }
        if (isUncertainty && value <= 0)
        {
            findings.Error(
                cell.Place,
                $"`{cell.Text}` is given as a standard uncertainty; it must be above 0 {column.Written}."
            );
        }
        return value;
    }
}
