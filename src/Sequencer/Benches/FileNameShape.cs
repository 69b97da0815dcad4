using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>A file named in another file: forward slashes, below the folder it is looked for in, never outside it.</summary>
internal sealed partial class FileNameShape(string extension, string example) : ScalarShape<string>
{
    internal override string Example => example;

    /// <summary>Why a name is refused, or null.</summary>
    internal string? WhyNot(string text) =>
        Name().IsMatch(text) && text.EndsWith(extension, StringComparison.Ordinal)
            ? null
            : $"`{QuantityText.Short(text)}` is not the name of a {extension} file below this folder. Use letters, digits, - _ . and /, for example `{example}`.";

    internal override string? Read(string text, Place place, out string value)
    {
        value = text;
        return WhyNot(text);
    }

    internal override JsonObject Schema(SchemaParts parts) => Pattern(Pattern1 + "$");

    private const string Pattern1 = "^([A-Za-z0-9][A-Za-z0-9._-]{0,60}/){0,4}[A-Za-z0-9][A-Za-z0-9._-]{0,60}";

    [GeneratedRegex(Pattern1 + "\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Name();
}
