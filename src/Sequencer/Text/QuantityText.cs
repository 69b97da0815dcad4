namespace LoadTest.Sequencer.Text;

/// <summary>Reads a number with its unit, and nothing else.</summary>
/// <remarks><c>0.12 mV/A</c> gives 0.00012 V/A; <c>10 min</c> gives 600 s; <c>60 %</c> gives 0.6. The space between may be an ordinary or
/// a no-break one, or left out.</remarks>
internal static class QuantityText
{
    /// <summary>Reads a quantity.</summary>
    /// <param name="example">How it may look here.</param>
    /// <returns>Null when it was read; otherwise what was found, what is allowed and what to do.</returns>
    internal static string? Read(string text, out Quantity quantity, string example = "30 V")
    {
        quantity = default;
        var length = NumberText.LengthAtStart(text);
        if (length == 0)
        {
            return $"`{Short(text)}` does not begin with a number. Write a number and its unit, for example `{example}`.";
        }
        var number = text[..length];
        var unit = text[length..].TrimStart(' ', '\u00A0', '\u202F');
        if (unit.Length > 0 && char.IsAsciiDigit(unit[0]))
        {
            return $"`{Short(text)}` has a space between digits. Write the digits together, then the unit.";
        }
        if (unit.Length == 0)
        {
            var why = NumberText.Read(number, 0, out _);
            return why is null
                ? $"`{Short(text)}` is a bare number and a unit belongs here. Write for example `{example}`."
                : $"`{Short(text)}` {why}, and give its unit.";
        }
        if (!UnitText.TryRead(unit, out var meaning))
        {
            return $"`{Short(text)}` has the unit `{Short(unit)}`, which is not known here. {UnitAdvice(number, unit)}";
        }
        if (NumberText.Read(number, meaning.Power, out var value) is { } trouble)
        {
            return $"`{Short(text)}` {trouble}.";
        }
        quantity = new Quantity(value * meaning.Factor, meaning.Unit);
        return null;
    }

    /// <summary>The text, cut after 40 characters so that a message stays a message.</summary>
    internal static string Short(string text)
    {
        var line = text.ReplaceLineEndings(" ");
        return line.Length <= 40 ? line : string.Concat(line.AsSpan(0, 39), "…");
    }

    private static string UnitAdvice(string number, string unit) =>
        UnitText.Nearest(unit) is { } near
            ? $"Write `{number} {near}`."
            : "Known are V, A, Ω, W, J, Wh, Hz, s, min, h, rpm, °C, K, %, ppm, V/A, ppm/K, %/K and m, with the prefixes n, µ, m, k, M where usual.";
}
