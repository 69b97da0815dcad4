using System.Globalization;
using System.Text.Json.Nodes;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>A date, year first (ISO 8601).</summary>
internal sealed class DateShape : ScalarShape<DateOnly>
{
    internal override string Example => "2026-03-31";

    internal override string? Read(string text, Place place, out DateOnly value)
    {
        var isDate = DateOnly.TryParseExact(
            text,
            "yyyy-MM-dd",
            CultureInfo.InvariantCulture,
            DateTimeStyles.None,
            out value
        );
        if (!isDate)
        {
            return $"`{QuantityText.Short(text)}` is not a date. Write year-month-day, for example `{Example}`.";
        }
        return value.Year is >= 1980 and <= 2100
            ? null
            : $"`{text}` is outside what is allowed, 1980-01-01 to 2100-12-31.";
    }

    internal override JsonObject Schema(SchemaParts parts) => Pattern("^[0-9]{4}-[0-9]{2}-[0-9]{2}$");
}
