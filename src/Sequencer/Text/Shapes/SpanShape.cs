using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A range of one unit, <c>LOWER to UPPER</c>, both within bounds.</summary>
internal sealed class SpanShape(Unit unit, Bounds bounds, string example) : ScalarShape<(double Low, double High)>
{
    internal override string Example => example;

    internal override string? Read(string text, Place place, out (double Low, double High) value)
    {
        value = default;
        if (LimitText.Read(text, place, [unit], [], example, out var limit) is { } why)
        {
            return why;
        }
        if (limit is not { Form: LimitForm.Range, Second: { } upper })
        {
            return $"`{QuantityText.Short(text)}` is not a range. Write LOWER to UPPER, for example `{example}`.";
        }
        value = (limit.First.Value, upper.Value);
        return bounds.Contains(value.Low) && bounds.Contains(value.High)
            ? null
            : $"`{QuantityText.Short(text)}` is outside what is allowed, {bounds.Text(unit)}.";
    }

    internal override JsonObject Schema(SchemaParts parts)
    {
        var one = SchemaPattern.Quantity([unit]);
        return Pattern(SchemaPattern.Whole($"{one} to {one}"));
    }
}
