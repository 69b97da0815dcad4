using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary><c>NAME as found</c> or <c>NAME as left</c>.</summary>
internal sealed class MeasureShape : ScalarShape<(string Points, Condition Condition)>
{
    internal override string Example => "shunt as found";

    internal override string? Read(string text, Place place, out (string Points, Condition Condition) value)
    {
        foreach (var (words, condition) in new[] { (" as found", Condition.AsFound), (" as left", Condition.AsLeft) })
        {
            if (text.EndsWith(words, StringComparison.Ordinal) && text.Length > words.Length)
            {
                value = (text[..^words.Length].TrimEnd(), condition);
                return null;
            }
        }
        value = ("", Condition.AsIs);
        return $"`{QuantityText.Short(text)}` does not end with `as found` or `as left`. Write for example `{Example}`.";
    }

    internal override JsonObject Schema(SchemaParts parts) => Pattern("^.+ as (found|left)$");
}
