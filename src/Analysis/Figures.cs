namespace LoadTest.Analysis;

/// <summary>Numbers as sentences say them: no more digits than are known, no exponents, a true minus sign.</summary>
internal static class Figures
{
    private const int MostDecimals = 12;

    /// <summary>A value to the place of the second digit of what is known of it: 72.6038 with 0.011 is <c>72.604</c>.</summary>
    public static string To(double value, double grain) => Fixed(value, Decimals(grain, 2));

    /// <summary>A size to so many significant digits, zeros at the end left off: 0.00584 is <c>0.0058</c>.</summary>
    public static string Of(double value, int digits = 2) => Short(Fixed(value, Decimals(value, digits)));

    /// <summary>A value as one of several that span so much: to a thousandth of the span, <c>299.9</c> of 300 and 0.0002 of 300 <c>0</c>.</summary>
    public static string Within(double value, double span) => Short(Fixed(value, Decimals(span * 1e-3, 1)));

    /// <summary>A probability to two digits, or that it is as good as none.</summary>
    public static string Chance(double chance) => chance < 1e-4 ? "below 0.0001" : Of(chance);

    /// <summary>A size with its sign: <c>+4.8</c>, <c>−0.2</c>, <c>0</c>.</summary>
    public static string Signed(double value, int digits = 2) =>
        value > 0 ? "+" + Of(value, digits) : Of(value, digits);

    /// <summary>Volts or amperes in thousandths where their grain is finer than a thousandth: the unit and the factor to it.</summary>
    public static (string Unit, double Factor) Scaled(string unit, double grain) =>
        unit is "V" or "A" && Math.Abs(grain) < 1e-3 && grain != 0 ? ($"m{unit}", 1000) : (unit, 1);

    private static string Short(string text) =>
        text.Contains('.', StringComparison.Ordinal) ? text.TrimEnd('0').TrimEnd('.') : text;

    private static string Fixed(double value, int decimals)
    {
        var text = value.ToString($"F{decimals}", System.Globalization.CultureInfo.InvariantCulture);
        return (text.AsSpan().ContainsAnyInRange('1', '9') ? text : text.TrimStart('-')).Replace('-', '−');
    }

    private static int Decimals(double grain, int digits)
    {
        var size = Math.Abs(grain);
        if (size == 0 || !double.IsFinite(size))
        {
            return 6;
        }

        var place = (int)Math.Floor(Math.Log10(size));
        // 0.996 to two digits is 1.0, one place up.
        place += Math.Round(size / Math.Pow(10, place - digits + 1)) >= Math.Pow(10, digits) ? 1 : 0;
        return Math.Clamp(digits - 1 - place, 0, MostDecimals);
    }
}
