using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>The heads of a table of readings.</summary>
/// <param name="Columns">What each column holds, in order.</param>
/// <param name="Rows">Rows they take: two when the units stand in a row of their own.</param>
internal sealed record CurveHead(ImmutableArray<CurveColumn> Columns, int Rows)
{
    /// <summary>Number of the column of a kind, from 0; null when there is none.</summary>
    public int? Index(ColumnKind kind)
    {
        for (var i = 0; i < Columns.Length; i++)
        {
            if (Columns[i].Kind == kind)
                return i;
        }
        return null;
    }

    /// <summary>Reads the heads; null with findings when they do not serve.</summary>
    public static CurveHead? Read(IReadOnlyList<IReadOnlyList<CsvCell>> rows, FindingList findings)
    {
        var before = findings.Errors;
        var heads = rows[0];
        var units = rows.Count > 1 && IsUnits(heads, rows[1]) ? rows[1] : null;
        var columns = ImmutableArray.CreateBuilder<CurveColumn>();
        for (var i = 0; i < heads.Count; i++)
        {
            var column = CurveColumn.Of(heads[i].Text);
            if (units is not null && column.Written.Length == 0)
                column = column with { Written = units[i].Text };
            Check(heads[i], column, columns, findings);
            columns.Add(column);
        }
        Require(heads[0].Place, ColumnKind.Current, "current (A)", columns, findings);
        Require(heads[0].Place, ColumnKind.Voltage, "voltage (V)", columns, findings);
        if (
            columns.Any(c => c.Kind == ColumnKind.CurrentUncertainty)
            && !columns.Any(c => c.Kind == ColumnKind.VoltageUncertainty)
        )
        {
            findings.Error(
                heads[0].Place,
                "Uncertainties are stated for the current and not for the voltage. State both, the voltage's alone, or neither."
            );
        }
        return findings.Errors == before ? new CurveHead(columns.ToImmutable(), units is null ? 1 : 2) : null;
    }

    // A row below the heads in which every cell is a unit or empty, where the heads name none.
    private static bool IsUnits(IReadOnlyList<CsvCell> heads, IReadOnlyList<CsvCell> row) =>
        row.Count == heads.Count
        && row.Any(c => c.Text.Length > 0)
        && row.All(c => c.Text.Length == 0 || CurveColumn.Meaning(c.Text) is not null)
        && heads.Any(h => CurveColumn.Of(h.Text) is { IsNumber: true, Written.Length: 0 });

    private static void Check(
        CsvCell head,
        CurveColumn column,
        ImmutableArray<CurveColumn>.Builder earlier,
        FindingList findings
    )
    {
        var name = QuantityText.Short(head.Text);
        if (CurveColumn.IsExpanded(head.Text))
        {
            findings.Error(
                head.Place,
                $"`{name}` is an expanded uncertainty. Divide it by its coverage factor and head the column `u(current) (A)` or `u(voltage) (V)`."
            );
            return;
        }
        if (column.Kind == ColumnKind.Other)
        {
            findings.Warn(
                head.Place,
                $"Column `{name}` is not read. {NearestWord.Advice(head.Text, CurveColumn.Known)}"
            );
            return;
        }
        if (earlier.Any(c => c.Kind == column.Kind))
            findings.Error(head.Place, $"`{name}` is the second column of its kind. Keep one of the two.");
        if (!column.IsNumber)
            return;
        var example = $"{head.Text.Split('(', '[', '/')[0].Trim()} ({UnitText.Usual(column.Base)})";
        if (column.Written.Length == 0)
            findings.Error(head.Place, $"`{name}` names no unit. Write for example `{example}`.");
        else if (CurveColumn.Meaning(column.Written) is not { } meaning || meaning.Unit != column.Base)
            findings.Error(
                head.Place,
                $"`{name}` has the unit `{column.Written}`; a {(column.Base == Unit.Volt ? "voltage" : "current")} is read in {UnitText.Usual(column.Base)}, m{UnitText.Usual(column.Base)} or k{UnitText.Usual(column.Base)}. Write for example `{example}`."
            );
    }

    private static void Require(
        Place place,
        ColumnKind kind,
        string example,
        ImmutableArray<CurveColumn>.Builder columns,
        FindingList findings
    )
    {
        if (!columns.Any(c => c.Kind == kind))
            findings.Error(
                place,
                $"No column is headed as a {kind.ToString().ToLowerInvariant()}. Head one `{example}`."
            );
    }
}
