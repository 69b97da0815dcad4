using System.Collections.Immutable;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>A kind of step: its word and the keys that stand beside it.</summary>
/// <param name="Word">The key that makes it this kind.</param>
/// <param name="MayStandAlone">Whether the word alone is a step.</param>
/// <param name="Shape">Its keys, the word among them.</param>
internal sealed record StepKind(string Word, bool MayStandAlone, MappingShape<ProfileStep> Shape);

/// <summary>One step: a word, or a mapping in which one key is the word.</summary>
/// <param name="name">Name of this list of kinds, for schemas.</param>
/// <param name="kinds">Kinds allowed at this place.</param>
/// <param name="elsewhere">Kinds known, but not allowed at this place.</param>
/// <param name="where">Why those are not, as the end of a message.</param>
internal sealed class StepShape(
    string name,
    ImmutableArray<StepKind> kinds,
    ImmutableArray<string> elsewhere,
    string where
) : Shape<ProfileStep>
{
    /// <summary>Kinds allowed at this place.</summary>
    internal ImmutableArray<StepKind> Kinds => kinds;

    internal override bool TryRead(Node node, string what, FindingList findings, out ProfileStep value)
    {
        value = null!;
        if (node is ScalarNode { IsMissing: false } word)
        {
            var known = kinds.FirstOrDefault(k => k.Word == word.Text);
            if (known is { MayStandAlone: true })
            {
                var nothing = new ScalarNode("", true, word.Place);
                var step = new MappingNode([new KeyValue(word, nothing)], word.Place);
                return known.Shape.TryRead(step, known.Word, findings, out value);
            }
            findings.Error(
                word.Place,
                known is null
                    ? Unknown(word.Text, findings)
                    : $"The step `{known.Word}` needs more than its name. Write for example `- {known.Shape.Keys[0].Example}`."
            );
            return false;
        }
        if (node is not MappingNode mapping || mapping.Entries.Length == 0)
        {
            findings.Error(
                node.Place,
                $"A step is {node.Kind} here. Write its kind after the dash, for example `- no load`."
            );
            return false;
        }
        foreach (var (key, _) in mapping.Entries)
        {
            if (kinds.FirstOrDefault(k => k.Word == key.Text) is { } kind)
            {
                return kind.Shape.TryRead(mapping, $"`{kind.Word}`", findings, out value);
            }
        }
        findings.Error(mapping.Entries[0].Key.Place, Unknown(mapping.Entries[0].Key.Text, findings));
        return false;
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        parts.Reference(
            name,
            () =>
            {
                var any = new JsonArray
                {
                    new JsonObject
                    {
                        ["enum"] = new JsonArray([.. kinds.Where(k => k.MayStandAlone).Select(k => (JsonNode)k.Word)]),
                    },
                };
                foreach (var kind in kinds)
                {
                    any.Add(kind.Shape.Schema(parts));
                }
                return new JsonObject { ["anyOf"] = any };
            }
        );

    private string Unknown(string word, FindingList findings) =>
        findings.IsFull ? ""
        : elsewhere.Contains(word, StringComparer.Ordinal) ? $"The step `{word}` cannot stand here{where}"
        : $"There is no step `{QuantityText.Short(word)}`. {NearestWord.Advice(word, [.. kinds.Select(k => k.Word)])}";
}
