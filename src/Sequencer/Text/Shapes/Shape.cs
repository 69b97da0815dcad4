using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>What a value in a file may look like: read it, say what is allowed, and tell an editor.</summary>
/// <remarks>One description serves the reader, the messages and the JSON Schema, so that they cannot drift apart.</remarks>
/// <typeparam name="T">What it is read into.</typeparam>
internal abstract class Shape<T>
{
    /// <summary>Reads a node.</summary>
    /// <param name="what">What the value is called in messages, usually its key.</param>
    /// <returns>False when at least one error was added; <paramref name="value"/> is then not to be used.</returns>
    internal abstract bool TryRead(Node node, string what, FindingList findings, out T value);

    /// <summary>What one of these is called; null when only its key can say.</summary>
    internal virtual string? OwnName => null;

    /// <summary>The same for an editor: JSON Schema, draft 2020-12.</summary>
    internal abstract JsonObject Schema(SchemaParts parts);
}
