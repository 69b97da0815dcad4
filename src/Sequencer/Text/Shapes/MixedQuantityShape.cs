using System.Collections.Immutable;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A quantity of one of several units; which one it must be, another key decides.</summary>
internal sealed class MixedQuantityShape(ImmutableArray<Unit> units, string example) : ScalarShape<Quantity>
{
    internal override string Example => example;

    internal override string? Read(string text, Place place, out Quantity value)
    {
        if (QuantityText.Read(text, out value, example) is { } why)
        {
            return why;
        }
        return units.Contains(value.Unit)
            ? null
            : $"`{QuantityText.Short(text)}` is in {UnitText.Usual(value.Unit)}; allowed here: "
                + $"{string.Join(", ", units.Select(UnitText.Usual))}. Write for example `{example}`.";
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        Pattern(SchemaPattern.Whole(SchemaPattern.Quantity(units)));
}
