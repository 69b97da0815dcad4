using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A number that has no unit by nature: a factor, a class index, a scale.</summary>
internal sealed class NumberShape(Bounds bounds, string example) : ScalarShape<double>
{
    internal override string Example => example;

    internal override string? Read(string text, Place place, out double value)
    {
        value = 0;
        if (text.Length == 0 || NumberText.LengthAtStart(text) != text.Length)
        {
            return $"`{QuantityText.Short(text)}` is not a plain number. It takes no unit; write for example `{example}`.";
        }
        if (NumberText.Read(text, 0, out value) is { } why)
        {
            return $"`{QuantityText.Short(text)}` {why}.";
        }
        return bounds.Contains(value)
            ? null
            : $"`{text}` is outside what is allowed, {bounds.Text(Unit.One).Replace("no unit", "", StringComparison.Ordinal)}.";
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        new()
        {
            ["type"] = "number",
            [bounds.IsOpenBelow ? "exclusiveMinimum" : "minimum"] = bounds.Low,
            ["maximum"] = bounds.High,
            ["examples"] = new JsonArray(JsonNode.Parse(example)),
        };
}
