using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A quantity of one unit, within bounds.</summary>
internal sealed class QuantityShape<T>(Unit unit, Bounds bounds, string example, Func<double, T> make) : ScalarShape<T>
{
    internal override string Example => example;

    internal override string? Read(string text, Place place, out T value)
    {
        value = default!;
        if (QuantityText.Read(text, out var quantity, example) is { } why)
        {
            return why;
        }
        if (quantity.Unit != unit)
        {
            return $"`{QuantityText.Short(text)}` is in {UnitText.Usual(quantity.Unit)}; this is given in {UnitText.Usual(unit)}. Write for example `{example}`.";
        }
        if (!bounds.Contains(quantity.Value))
        {
            return $"`{QuantityText.Short(text)}` is outside what is allowed, {bounds.Text(unit)}.";
        }
        value = make(quantity.Value);
        return null;
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        Pattern(SchemaPattern.Whole(SchemaPattern.Quantity([unit])));
}

/// <summary>Patterns of what is written, for schemas.</summary>
internal static class SchemaPattern
{
    /// <summary>A number as we read it.</summary>
    internal const string Number = "[+\\-\u2212]?(0|[1-9][0-9]*)(\\.[0-9]+)?([eE][+\\-\u2212]?[0-9]{1,3})?";

    /// <summary>A number with one of the ways of writing these units.</summary>
    internal static string Quantity(IEnumerable<Unit> units) =>
        $"{Number}[ \u00A0\u202F]*({string.Join('|', units.SelectMany(UnitText.Ways).Select(Regex.Escape).Select(Plain))})";

    /// <summary>The pattern as all of the text.</summary>
    internal static string Whole(string pattern) => $"^{pattern}$";

    // Escaped spaces are not part of the pattern language editors use.
    private static string Plain(string escaped) => escaped.Replace("\\ ", " ", StringComparison.Ordinal);
}
