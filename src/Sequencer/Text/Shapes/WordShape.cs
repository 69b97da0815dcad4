using System.Collections.Immutable;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>One word or phrase of a closed list.</summary>
internal sealed class WordShape<T>(ImmutableArray<(string Word, T Value)> words) : ScalarShape<T>
{
    internal override string Example => words[0].Word;

    internal override string? Read(string text, Place place, out T value)
    {
        foreach (var (word, known) in words)
        {
            if (word == text)
            {
                value = known;
                return null;
            }
        }
        value = default!;
        return $"`{QuantityText.Short(text)}` is not known here. {NearestWord.Advice(text, [.. words.Select(w => w.Word)])}";
    }

    internal override JsonObject Schema(SchemaParts parts)
    {
        var all = new JsonArray();
        foreach (var (word, _) in words)
        {
            // A list of digits stands in YAML as numbers.
            all.Add(int.TryParse(word, out var number) ? JsonValue.Create(number) : JsonValue.Create(word));
        }
        return new JsonObject { ["enum"] = all };
    }
}
