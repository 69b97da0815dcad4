using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A key a mapping knows.</summary>
/// <param name="name">The key as written.</param>
/// <param name="isRequired">Whether it must stand there.</param>
/// <param name="help">What it says, in one sentence; shown by editors.</param>
/// <param name="example">How its line may look.</param>
internal abstract class Key(string name, bool isRequired, string help, string example)
{
    internal string Name => name;

    internal bool IsRequired => isRequired;

    internal string Help => help;

    internal string Example => example;

    /// <summary>Reads its value; null when errors were added.</summary>
    internal abstract object? Read(Node node, FindingList findings);

    /// <summary>The value's schema with the help text.</summary>
    internal abstract JsonObject Schema(SchemaParts parts);

    /// <summary>A key that must be given.</summary>
    internal static Key<T> Required<T>(string name, Shape<T> shape, string help, string? example = null)
        where T : notnull => new(name, shape, true, help, example);

    /// <summary>A key that may be left out; the help text says what that means.</summary>
    internal static Key<T> Optional<T>(string name, Shape<T> shape, string help, string? example = null)
        where T : notnull => new(name, shape, false, help, example);
}

/// <summary>A key a mapping knows, with the shape of its value.</summary>
internal sealed class Key<T>(string name, Shape<T> shape, bool isRequired, string help, string? example)
    : Key(name, isRequired, help, example ?? $"{name}: {(shape as ScalarShape<T>)?.Example ?? "…"}")
    where T : notnull
{
    internal override object? Read(Node node, FindingList findings) =>
        shape.TryRead(node, Name, findings, out var value) ? value : null;

    internal override JsonObject Schema(SchemaParts parts)
    {
        var schema = shape.Schema(parts);
        schema["description"] = Help;
        return schema;
    }
}
