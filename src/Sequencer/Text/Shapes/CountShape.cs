using System.Globalization;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A whole number, with or without the word for what is counted.</summary>
/// <param name="counted">The word that follows, such as <c>readings</c>; null for a plain whole number.</param>
internal sealed class CountShape(int least, int most, string? counted = null) : ScalarShape<int>
{
    internal override string Example => counted is null ? $"{Typical}" : $"{Typical} {counted}";

    private int Typical => Math.Clamp(20, least, most);

    internal override string? Read(string text, Place place, out int value)
    {
        value = 0;
        var digits = text;
        if (counted is not null)
        {
            if (!text.EndsWith($" {counted}", StringComparison.Ordinal))
            {
                return $"`{QuantityText.Short(text)}` does not say what is counted. Write for example `{Example}`.";
            }
            digits = text[..^(counted.Length + 1)].TrimEnd();
        }
        var isWhole =
            digits.Length is >= 1 and <= 9 && digits.All(char.IsAsciiDigit) && (digits.Length == 1 || digits[0] != '0');
        if (!isWhole)
        {
            return $"`{QuantityText.Short(text)}` is not a whole number written in plain digits. Write for example `{Example}`.";
        }
        value = int.Parse(digits, NumberStyles.None, CultureInfo.InvariantCulture);
        return value >= least && value <= most ? null
            : least == most ? $"`{text}` is not known here; only {least} is."
            : $"`{text}` is outside what is allowed, {least} to {most}{(counted is null ? "" : " " + counted)}.";
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        counted is null
            ? new JsonObject
            {
                ["type"] = "integer",
                ["minimum"] = least,
                ["maximum"] = most,
            }
            : Pattern($"^[1-9][0-9]* {counted}$");
}
