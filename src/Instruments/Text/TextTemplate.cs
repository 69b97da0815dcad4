using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using LoadTest.Instruments.Scpi;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Text;

/// <summary>Writes a line from its pattern, and takes a line apart by its pattern, in one pass and without going back.</summary>
internal static class TextTemplate
{
    private const int LongestNumber = 40;
    private const int LongestWord = 60;

    /// <summary>The line with its fields filled in.</summary>
    /// <exception cref="ArgumentOutOfRangeException">A value does not fit its field.</exception>
    public static string Write(TextPattern pattern, IReadOnlyDictionary<string, double> values)
    {
        var line = new StringBuilder();
        foreach (var part in pattern.Parts)
        {
            if (part is TextPart.Fixed f)
                line.Append(f.Characters);
            else if (part is TextPart.Field field)
                line.Append(Written(field, values[field.Name]));
        }
        return line.ToString();
    }

    /// <summary>The fields of a line; null when the line is none of this pattern.</summary>
    public static ImmutableDictionary<string, string>? Match(TextPattern pattern, string line)
    {
        var fields = ImmutableDictionary.CreateBuilder<string, string>(StringComparer.Ordinal);
        var at = 0;
        foreach (var part in pattern.Parts)
        {
            if (part is TextPart.Fixed f)
            {
                if (string.CompareOrdinal(line, at, f.Characters, 0, f.Characters.Length) != 0)
                    return null;
                at += f.Characters.Length;
                continue;
            }
            var field = (TextPart.Field)part;
            var most = Math.Min(line.Length - at, Longest(field));
            var length = 0;
            while (length < most && Belongs(field.Form, line[at + length]))
                length++;
            var text = line.Substring(at, length);
            if (length == 0 || (field.Width > 0 && length != field.Width) || !IsWhole(field.Form, text))
                return null;
            fields[field.Name] = text;
            at += length;
        }
        return at == line.Length ? fields.ToImmutable() : null;
    }

    /// <summary>The number a field holds; of bits, the first counts 1, the second 2, the third 4.</summary>
    public static IndicationFlag Number(TextPattern pattern, string name, string text, out double value)
    {
        var field = pattern.Parts.OfType<TextPart.Field>().First(f => f.Name == name);
        switch (field.Form)
        {
            case FieldForm.Hex:
                value = uint.Parse(text, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture);
                return IndicationFlag.Good;
            case FieldForm.Bits:
                value = text.Select((c, k) => c == '1' ? 1u << k : 0u).Aggregate(0u, (all, bit) => all | bit);
                return IndicationFlag.Good;
            default:
                return NumericReply.Read(text, out value);
        }
    }

    private static string Written(TextPart.Field field, double value)
    {
        var text = field.Form switch
        {
            FieldForm.Number => value.ToString("G9", CultureInfo.InvariantCulture),
            FieldForm.Integer => Math.Round(value).ToString("F0", CultureInfo.InvariantCulture),
            FieldForm.Hex when value is >= 0 and <= uint.MaxValue => ((uint)value).ToString(
                $"X{field.Width}",
                CultureInfo.InvariantCulture
            ),
            FieldForm.Bits when value is >= 0 and <= uint.MaxValue => Bits((uint)value, field.Width),
            _ => "",
        };
        return text.Length > 0 && (field.Width == 0 || text.Length == field.Width)
            ? text
            : throw new ArgumentOutOfRangeException(
                nameof(value),
                value,
                $"The field {field.Name} does not hold this value."
            );
    }

    private static string Bits(uint value, int width) =>
        width < 32 && value >> width != 0
            ? ""
            : new string([.. Enumerable.Range(0, width).Select(k => (value >> k & 1) == 1 ? '1' : '0')]);

    private static int Longest(TextPart.Field field) =>
        field.Width > 0 ? field.Width
        : field.Form == FieldForm.Word ? LongestWord
        : LongestNumber;

    private static bool Belongs(FieldForm form, char c) =>
        form switch
        {
            FieldForm.Number => char.IsAsciiDigit(c) || c is '+' or '-' or '.' or 'E' or 'e',
            FieldForm.Integer => char.IsAsciiDigit(c) || c is '+' or '-',
            FieldForm.Hex => char.IsAsciiHexDigit(c),
            FieldForm.Bits => c is '0' or '1',
            _ => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' or '.' or '/',
        };

    // What looks like a number has to be one, sign first and once; 9.9E37 counts as a number here and is flagged later.
    private static bool IsWhole(FieldForm form, string text) =>
        form switch
        {
            FieldForm.Number => NumericReply.IsNumber(Encoding.ASCII.GetBytes(text)),
            FieldForm.Integer => text.AsSpan().TrimStart("+-").Length is > 0 and var digits
                && text.Length - digits <= 1
                && text.AsSpan(text.Length - digits).IndexOfAnyExceptInRange('0', '9') < 0,
            _ => true,
        };
}
