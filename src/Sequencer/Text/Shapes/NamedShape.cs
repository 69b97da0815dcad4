using System.Collections.Immutable;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>Values of one shape under names the person chooses.</summary>
internal sealed class NamedShape<T>(Shape<T> item, int most, string example) : Shape<ImmutableDictionary<string, T>>
{
    internal override bool TryRead(
        Node node,
        string what,
        FindingList findings,
        out ImmutableDictionary<string, T> value
    )
    {
        value = ImmutableDictionary<string, T>.Empty;
        if (node is not MappingNode mapping || mapping.Entries.Length == 0 || mapping.Entries.Length > most)
        {
            findings.Error(
                node.Place,
                $"`{what}` holds {node.Kind}; 1 to {most} names of your own belong here, each with a list, for example `{example}`."
            );
            return false;
        }
        var read = ImmutableDictionary.CreateBuilder<string, T>(StringComparer.Ordinal);
        var sound = true;
        foreach (var (key, node2) in mapping.Entries)
        {
            if (key.Text.Length is 0 or > 60)
            {
                findings.Error(
                    key.Place,
                    $"A name under `{what}` has {key.Text.Length} characters; 1 to 60 are allowed."
                );
                sound = false;
                continue;
            }
            sound &= item.TryRead(node2, key.Text, findings, out var element);
            read[key.Text] = element;
        }
        value = read.ToImmutable();
        return sound;
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        new()
        {
            ["type"] = "object",
            ["minProperties"] = 1,
            ["maxProperties"] = most,
            ["additionalProperties"] = item.Schema(parts),
        };
}
