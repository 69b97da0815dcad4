using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>A line of a text protocol with fields in angle brackets: <c>SET &lt;elements hex 2&gt;</c>.</summary>
internal sealed class TextPatternShape(string example) : ScalarShape<TextPattern>
{
    private const int Longest = 200;
    private const int MostDigits = 8;
    private const int MostBits = 24;

    internal override string Example => example;

    internal override string? Read(string text, Place place, out TextPattern value)
    {
        value = new TextPattern(text, []);
        if (text.Length is 0 or > Longest || text.AsSpan().ContainsAnyExceptInRange(' ', '~'))
        {
            return $"`{QuantityText.Short(text)}` is not a line of 1 to {Longest} printable ASCII characters, for example `{example}`.";
        }
        var parts = ImmutableArray.CreateBuilder<TextPart>();
        for (var at = 0; at < text.Length; )
        {
            var next = text.AsSpan(at).IndexOfAny('<', '>');
            if (next != 0)
            {
                var characters = next < 0 ? text[at..] : text.Substring(at, next);
                parts.Add(new TextPart.Fixed(characters));
                at += characters.Length;
                continue;
            }
            var end = text.IndexOf('>', at);
            if (text[at] == '>' || end < 0)
            {
                return $"`{QuantityText.Short(text)}` has a bracket without its partner. A field is written <name form>, for example `{example}`.";
            }
            if (Field(text[(at + 1)..end]) is not { } field)
            {
                return $"`{QuantityText.Short(text[at..(end + 1)])}` is not a field. Write <name form>, the form one of number, integer, word, hex 1 to {MostDigits}, bits 1 to {MostBits}.";
            }
            parts.Add(field);
            at = end + 1;
        }
        value = new TextPattern(text, parts.ToImmutable());
        return Objection(value);
    }

    internal override JsonObject Schema(SchemaParts parts) => Pattern("^[ -~]{1,200}$");

    private static TextPart.Field? Field(string written)
    {
        var words = written.Split(' ');
        if (words.Length is < 2 or > 3 || words[0].Length is 0 or > 20 || !words[0].All(char.IsAsciiLetterLower))
        {
            return null;
        }
        if (words.Length == 2)
        {
            return words[1] switch
            {
                "number" => new TextPart.Field(words[0], FieldForm.Number, 0),
                "integer" => new TextPart.Field(words[0], FieldForm.Integer, 0),
                "word" => new TextPart.Field(words[0], FieldForm.Word, 0),
                _ => null,
            };
        }
        if (!int.TryParse(words[2], NumberStyles.None, CultureInfo.InvariantCulture, out var width))
        {
            return null;
        }
        return words[1] switch
        {
            "hex" when width is >= 1 and <= MostDigits => new TextPart.Field(words[0], FieldForm.Hex, width),
            "bits" when width is >= 1 and <= MostBits => new TextPart.Field(words[0], FieldForm.Bits, width),
            _ => null,
        };
    }

    // A field without a width ends where a character of another kind stands; so there must be one.
    private static string? Objection(TextPattern pattern)
    {
        var names = new HashSet<string>(StringComparer.Ordinal);
        for (var k = 0; k < pattern.Parts.Length; k++)
        {
            if (pattern.Parts[k] is not TextPart.Field field)
            {
                continue;
            }
            if (!names.Add(field.Name))
            {
                return $"the field `{field.Name}` stands twice in `{pattern}`. Give each field a name of its own.";
            }
            if (field.Width > 0 || k + 1 == pattern.Parts.Length)
            {
                continue;
            }
            if (pattern.Parts[k + 1] is not TextPart.Fixed next || Belongs(field.Form, next.Characters[0]))
            {
                return $"after the field `{field.Name}` of `{pattern}` nothing shows where it ends. Put a character after it that cannot belong to it, or a form with a width.";
            }
        }
        return null;
    }

    /// <summary>Whether a character may stand in a field of this form.</summary>
    private static bool Belongs(FieldForm form, char c) =>
        form switch
        {
            FieldForm.Number => char.IsAsciiDigit(c) || c is '+' or '-' or '.' or 'E' or 'e',
            FieldForm.Integer => char.IsAsciiDigit(c) || c is '+' or '-',
            FieldForm.Word => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' or '.' or '/',
            _ => char.IsAsciiHexDigit(c),
        };
}
