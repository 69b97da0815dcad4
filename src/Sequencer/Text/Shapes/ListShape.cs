using System.Collections.Immutable;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A list of values of one shape.</summary>
internal sealed class ListShape<T>(Shape<T> item, int least, int most, string example) : Shape<ImmutableArray<T>>
{
    internal override bool TryRead(Node node, string what, FindingList findings, out ImmutableArray<T> value)
    {
        value = [];
        if (node is not SequenceNode list)
        {
            findings.Error(node.Place, $"`{what}` holds {node.Kind}; a list belongs here, for example `{example}`.");
            return false;
        }
        if (list.Items.Length < least || list.Items.Length > most)
        {
            findings.Error(
                node.Place,
                $"`{what}` lists {list.Items.Length}; allowed are {least} to {most}, for example `{example}`."
            );
            return false;
        }
        var read = ImmutableArray.CreateBuilder<T>();
        var sound = true;
        foreach (var one in list.Items)
        {
            sound &= item.TryRead(one, item.OwnName ?? what, findings, out var element);
            read.Add(element);
        }
        value = read.ToImmutable();
        return sound;
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        new()
        {
            ["type"] = "array",
            ["items"] = item.Schema(parts),
            ["minItems"] = least,
            ["maxItems"] = most,
        };
}
