using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>A message to a SCPI instrument: printable ASCII, a query if so asked.</summary>
/// <param name="isQuery">True where a query belongs, null where either may stand.</param>
internal sealed class CommandShape(string example, bool? isQuery) : ScalarShape<string>
{
    internal override string Example => example;

    internal override string? Read(string text, Place place, out string value)
    {
        value = text;
        if (text.Length is 0 or > 200 || text.AsSpan().ContainsAnyExceptInRange(' ', '~'))
        {
            return $"`{QuantityText.Short(text)}` is not a message of 1 to 200 printable ASCII characters, for example `{example}`.";
        }
        return isQuery == true && !text.Split(' ')[0].EndsWith('?')
            ? $"`{QuantityText.Short(text)}` is not a query; a query's first word ends with a question mark, for example `{example}`."
            : null;
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        Pattern(isQuery == true ? "^[!-~]+\\?( [ -~]*)?$" : "^[ -~]{1,200}$");
}
