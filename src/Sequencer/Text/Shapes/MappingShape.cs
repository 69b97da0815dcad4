using System.Collections.Immutable;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A mapping with a closed set of keys: the one table reader, messages, schema and documentation share.</summary>
/// <param name="name">What it is, for messages and as the name of its schema part.</param>
/// <param name="keys">Every key it knows.</param>
/// <param name="build">Makes the value; called only when every key given was well written and none is missing.</param>
/// <param name="check">Laws between keys, run always so that all findings come in one go.</param>
/// <param name="mayBeEmpty">Whether leaving the value out reads as no keys at all.</param>
internal sealed class MappingShape<T>(
    string name,
    ImmutableArray<Key> keys,
    Func<Fields, T> build,
    Action<Fields>? check = null,
    bool mayBeEmpty = false
) : Shape<T>
{
    /// <summary>Every key it knows.</summary>
    internal ImmutableArray<Key> Keys => keys;

    internal string Name => name;

    internal override string? OwnName => name;

    internal override bool TryRead(Node node, string what, FindingList findings, out T value)
    {
        value = default!;
        var before = findings.Errors;
        if (node is not MappingNode mapping)
        {
            if (!mayBeEmpty || node is not ScalarNode { IsMissing: true })
            {
                var known = string.Join(", ", keys.Select(k => k.Name));
                findings.Error(
                    node.Place,
                    $"`{what}` holds {node.Kind}; keys with values belong here. Known here: {known}."
                );
                return false;
            }
            mapping = new MappingNode([], node.Place);
        }
        var fields = new Fields(node.Place, mapping.Entries.Length == 0, findings);
        foreach (var (key, entry) in mapping.Entries)
        {
            ReadEntry(key, entry, what, fields);
        }
        foreach (var key in keys.Where(k => k.IsRequired && !fields.Has(k)))
        {
            findings.Error(
                node.Place,
                $"`{key.Name}` is missing in {what} and must be given. Add for example `{key.Example}`."
            );
        }
        check?.Invoke(fields);
        if (findings.Errors != before)
        {
            return false;
        }
        value = build(fields);
        return findings.Errors == before;
    }

    internal override JsonObject Schema(SchemaParts parts) => parts.Reference(name, () => Whole(parts));

    /// <summary>The schema itself, not a reference to it.</summary>
    internal JsonObject Whole(SchemaParts parts)
    {
        var properties = new JsonObject();
        foreach (var key in keys)
        {
            properties[key.Name] = key.Schema(parts);
        }
        var required = keys.Where(k => k.IsRequired).Select(k => (JsonNode)k.Name).ToArray();
        var schema = new JsonObject
        {
            ["type"] = mayBeEmpty ? new JsonArray("object", "null") : "object",
            ["properties"] = properties,
            ["additionalProperties"] = false,
        };
        if (required.Length > 0)
        {
            schema["required"] = new JsonArray(required);
        }
        return schema;
    }

    private void ReadEntry(ScalarNode key, Node entry, string what, Fields fields)
    {
        var known = keys.FirstOrDefault(k => k.Name == key.Text);
        if (known is null)
        {
            var advice = fields.Findings.IsFull ? "" : Advice(key.Text);
            fields.Findings.Error(key.Place, $"`{QuantityText.Short(key.Text)}` is not a key of {what}. {advice}");
            return;
        }
        fields.Keep(
            known,
            known.Read(entry, fields.Findings),
            entry is ScalarNode { IsMissing: true } ? key.Place : entry.Place
        );
    }

    // Inside braces a comma separates, so that "0,5 %" leaves "5 %" standing as a key.
    private string Advice(string written) =>
        NumberText.LengthAtStart(written) > 0
            ? "Inside { } a comma separates; write a decimal point."
            : NearestWord.Advice(written, [.. keys.Select(k => k.Name)]);
}
