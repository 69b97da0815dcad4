using System.Collections.Immutable;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A limit, made into whatever it limits.</summary>
internal sealed class LimitShape<T>(
    ImmutableArray<Unit> units,
    ImmutableArray<BaseName> bases,
    string example,
    Func<Limit, T> make
) : ScalarShape<T>
{
    internal override string Example => example;

    internal override string? Read(string text, Place place, out T value)
    {
        var why = LimitText.Read(text, place, units, bases, example, out var limit);
        value = limit is null ? default! : make(limit);
        return why;
    }

    internal override JsonObject Schema(SchemaParts parts)
    {
        var bound = Bound(false, bases);
        var spread = Bound(true, [.. bases, BaseName.Reading]);
        return Pattern($"^((at most|at least) {bound}|{bound} to {bound}|{bound} *(±|\\+/-) *{spread})$");
    }

    private string Bound(bool allowsBarePercent, ImmutableArray<BaseName> names) =>
        Shapes.AmountShape.SchemaText(new AmountRule(units, names, allowsBarePercent, example));
}
