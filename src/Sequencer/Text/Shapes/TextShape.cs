using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>Free text on one line.</summary>
internal sealed class TextShape(string example) : ScalarShape<string>
{
    private const int Longest = 300;

    internal override string Example => example;

    internal override string? Read(string text, Place place, out string value)
    {
        value = text;
        return text.Length switch
        {
            0 => $"the text is empty. Write for example `{example}`.",
            > Longest => $"the text has {text.Length} characters; at most {Longest} are read. Shorten it.",
            _ => null,
        };
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        new()
        {
            ["type"] = new JsonArray("string", "number"),
            ["minLength"] = 1,
            ["maxLength"] = Longest,
            ["examples"] = new JsonArray(example),
        };
}
