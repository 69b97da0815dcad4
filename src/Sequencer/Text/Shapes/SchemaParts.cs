using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>Parts of a JSON Schema that are said once and referred to.</summary>
internal sealed class SchemaParts
{
    private readonly SortedDictionary<string, JsonObject?> parts = new(StringComparer.Ordinal);

    /// <summary>A reference to the part of this name, made the first time it is asked for.</summary>
    internal JsonObject Reference(string name, Func<JsonObject> make)
    {
        if (!parts.ContainsKey(name))
        {
            parts[name] = null;
            parts[name] = make();
        }
        return new JsonObject { ["$ref"] = $"#/$defs/{name.Replace(' ', '-')}" };
    }

    /// <summary>All parts, by name.</summary>
    internal JsonObject Definitions()
    {
        var all = new JsonObject();
        foreach (var (name, part) in parts)
        {
            all[name.Replace(' ', '-')] = part;
        }
        return all;
    }
}
