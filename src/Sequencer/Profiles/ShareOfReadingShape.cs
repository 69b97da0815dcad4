using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>A share of the reading, written <c>NUMBER % of reading</c>.</summary>
internal sealed class ShareOfReadingShape(double low, double high, string example) : ScalarShape<double>
{
    private static readonly AmountRule Rule = new(
        [Unit.Fraction],
        [BaseName.Reading],
        AllowsBarePercent: false,
        "0.3 % of reading"
    );

    internal override string Example => example;

    internal override string? Read(string text, Place place, out double value)
    {
        value = 0;
        if (AmountText.Read(text, place, Rule, out var amount) is { } why)
        {
            return why;
        }
        value = amount.Value;
        if (amount.Of is null || NumberText.LengthAtStart(text) == 0)
        {
            return $"`{QuantityText.Short(text)}` does not say how much of what. Write for example `{example}`.";
        }
        return Bounds.From(low, high).Contains(value)
            ? null
            : $"`{QuantityText.Short(text)}` is outside what is allowed, {Bounds.From(low, high).Text(Unit.Fraction)} of reading.";
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        Pattern(SchemaPattern.Whole($"{SchemaPattern.Quantity([Unit.Fraction])} of reading"));
}
