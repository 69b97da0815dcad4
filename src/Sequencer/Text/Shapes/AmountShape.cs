using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>An amount: a quantity, a percentage of a named value, or the named value.</summary>
/// <param name="isPositive">Whether it must be above zero; a setting always must.</param>
internal sealed class AmountShape(AmountRule rule, bool isPositive) : ScalarShape<Amount>
{
    internal override string Example => rule.Example;

    internal override string? Read(string text, Place place, out Amount value)
    {
        if (AmountText.Read(text, place, rule, out value) is { } why)
        {
            return why;
        }
        return isPositive && !(value.Value > 0)
            ? $"`{QuantityText.Short(text)}` is not above zero. Write for example `{rule.Example}`."
            : null;
    }

    internal override JsonObject Schema(SchemaParts parts) => Pattern(SchemaPattern.Whole(SchemaText(rule)));

    /// <summary>The pattern of an amount.</summary>
    internal static string SchemaText(AmountRule rule)
    {
        var bases = string.Join('|', rule.Bases.Select(BaseText.Word));
        var percent =
            $"{SchemaPattern.Quantity([Unit.Fraction])}{(rule.AllowsBarePercent ? $"( of ({bases}))?" : $" of ({bases})")}";
        var units =
            rule.Units.Length > 0
                ? rule.Units
                : [.. Enum.GetValues<Unit>().Where(u => u is not (Unit.One or Unit.Fraction))];
        var quantity = SchemaPattern.Quantity(units);
        return bases.Length == 0 && !rule.AllowsBarePercent ? $"({quantity})" : $"({quantity}|{percent}|{bases})";
    }
}
