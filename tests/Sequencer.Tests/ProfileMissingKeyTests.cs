using System.Text;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>A limit that is missing or zero in a file is never replaced by one of ours.</summary>
public sealed class ProfileMissingKeyTests
{
    // Everything else must be given. No trip on volts or amperes, no rating and no protection is among these.
    private static readonly string[] MayBeLeftOut =
    [
        "location",
        "simulated world",
        "serial number",
        "certificate",
        "class",
        "auxiliary output",
        "mode",
        "expect",
        "for",
        "load conductance",
        "fan coil",
        "air flow",
        "over-temperature",
        "stop circuit healthy",
        "watchdog",
        "switching",
        "inputs",
        "settings",
        "error flags",
        "relays",
        "remote setter",
        "a retry may repeat",
        "byte order",
        "reads through",
        "bits",
        "turn-around",
        "checksum mark",
        "refusals",
        "step check",
        "known answer",
        "fan",
        "scale",
        "over range",
        "or volts within",
        "or amperes within",
        "still to come",
        "equilibrium",
        "with weld",
        "with",
        // What a bench reads of these a heat run has to guard: the planner's law, for it alone knows the bench.
        "bank outlet temperature",
        "lug temperature",
        "reference shunt temperature",
    ];

    // Limits that judge may be left out one by one: then the quantity is measured and not judged.
    private static readonly string[] Judged = [.. MeasurandText.All.Select(m => m.Word)];

    public static TheoryData<string> Shipped => new(Tree.Shipped());

    [Theory]
    [MemberData(nameof(Shipped))]
    public void Each_key_deleted_in_turn_is_missed_unless_it_may_be_left_out(string file)
    {
        var root = Root(file);
        Assert.True(IsSound(file, root), "the file does not survive being written out again");
        foreach (var path in Paths(root, []))
        {
            var key = path[^1];
            if (IsSound(file, Without(root, path)))
            {
                var isLimit = (path.Contains("expect") || path.Contains("to")) && Judged.Contains(key);
                Assert.True(
                    isLimit || MayBeLeftOut.Contains(key),
                    $"{file}: {string.Join(" / ", path)} was not missed"
                );
            }
        }
    }

    [Theory]
    [MemberData(nameof(Shipped))]
    public void Each_value_emptied_in_turn_is_missed(string file)
    {
        var root = Root(file);
        foreach (
            var path in Paths(root, [])
                .Where(p => p[^1] is not ("energise" or "cool down" or "no load" or "weld and auxiliary load"))
        )
        {
            Assert.False(
                IsSound(file, Without(root, path, isEmptied: true)),
                $"{file}: {string.Join(" / ", path)} empty was accepted"
            );
        }
    }

    private static Node Root(string file)
    {
        var root = YamlTree.Read(Tree.Bytes(file), new FindingList(file));
        Assert.NotNull(root);
        return root;
    }

    private static bool IsSound(string file, Node node) =>
        AnyFile.Check(file, Encoding.UTF8.GetBytes(Text(node)), Tree.Definition).IsSound;

    // A path names mapping keys; list items by "#index".
    private static IEnumerable<string[]> Paths(Node node, string[] above)
    {
        switch (node)
        {
            case MappingNode mapping:
                foreach (var (key, value) in mapping.Entries)
                {
                    string[] path = [.. above, key.Text];
                    yield return path;
                    foreach (var below in Paths(value, path))
                    {
                        yield return below;
                    }
                }
                break;
            case SequenceNode list:
                for (var i = 0; i < list.Items.Length; i++)
                {
                    foreach (var below in Paths(list.Items[i], [.. above, $"#{i}"]))
                    {
                        yield return below;
                    }
                }
                break;
        }
    }

    private static Node Without(Node node, ReadOnlySpan<string> path, bool isEmptied = false)
    {
        switch (node)
        {
            case MappingNode mapping:
                var entries = mapping.Entries.ToBuilder();
                for (var i = 0; i < entries.Count; i++)
                {
                    if (entries[i].Key.Text == path[0])
                    {
                        if (path.Length > 1)
                        {
                            entries[i] = entries[i] with { Value = Without(entries[i].Value, path[1..], isEmptied) };
                        }
                        else if (isEmptied)
                        {
                            entries[i] = entries[i] with { Value = new ScalarNode("", true, entries[i].Value.Place) };
                        }
                        else
                        {
                            entries.RemoveAt(i);
                        }
                        break;
                    }
                }
                return mapping with { Entries = entries.ToImmutable() };
            case SequenceNode list:
                var at = int.Parse(path[0].AsSpan(1));
                return list with { Items = list.Items.SetItem(at, Without(list.Items[at], path[1..], isEmptied)) };
            default:
                return node;
        }
    }

    // One line of flow style; every value quoted, so that nothing depends on how YAML reads plain words.
    private static string Text(Node node) =>
        node switch
        {
            MappingNode m => "{" + string.Join(", ", m.Entries.Select(e => $"\"{e.Key.Text}\": {Text(e.Value)}")) + "}",
            SequenceNode s => "[" + string.Join(", ", s.Items.Select(Text)) + "]",
            ScalarNode { IsMissing: true } => "",
            ScalarNode s => "\""
                + s.Text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal)
                + "\"",
            _ => "",
        };
}
