using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A shape that is one value on one line.</summary>
internal abstract class ScalarShape<T> : Shape<T>
{
    /// <summary>How it may look; used in messages and schemas.</summary>
    internal abstract string Example { get; }

    /// <summary>Reads the text.</summary>
    /// <returns>Null when it was read; otherwise what was found, what is allowed and what to do.</returns>
    internal abstract string? Read(string text, Place place, out T value);

    internal sealed override bool TryRead(Node node, string what, FindingList findings, out T value)
    {
        value = default!;
        if (node is not ScalarNode scalar || scalar.IsMissing)
        {
            findings.Error(node.Place, $"`{what}` holds {node.Kind}. Write for example `{what}: {Example}`.");
            return false;
        }
        var text = scalar.Text.Trim(' ', '\n', '\r');
        if (text.AsSpan().ContainsAny('\n', '\r'))
        {
            findings.Error(node.Place, $"`{what}` goes over several lines. Write it on one line, or after `>-`.");
            return false;
        }
        if (Read(text, node.Place, out value) is { } why)
        {
            findings.Error(node.Place, $"`{what}`: {why}");
            return false;
        }
        return true;
    }

    /// <summary>A schema of text that fits a pattern, with an example.</summary>
    protected JsonObject Pattern(string pattern) =>
        new()
        {
            ["type"] = "string",
            ["pattern"] = pattern,
            ["examples"] = new JsonArray(Example),
        };
}
