namespace LoadTest.Analysis;

/// <summary>Numbers as sentences say them: no more digits than are known, no exponents, a true minus sign.</summary>
public static class Figures
{
    private const int MostDecimals = 15;
    private const double Largest = 1e12;
    private const double Smallest = 1e-9;
    private const double LeastPlain = 1e-3;
    private const double MostPlain = 1e5;

    private static readonly (string Prefix, double Factor)[] Prefixes =
    [
        ("n", 1e-9),
        ("µ", 1e-6),
        ("m", 1e-3),
        ("", 1),
        ("k", 1e3),
        ("M", 1e6),
        ("G", 1e9),
    ];

    /// <summary>A value to the place of the second digit of what is known of it: 72.6038 with 0.011 is <c>72.604</c>.</summary>
    internal static string To(double value, double grain) => Fixed(value, Decimals(grain, 2));

    /// <summary>A size to so many significant digits, zeros at the end left off: 0.00584 is <c>0.0058</c>.</summary>
    /// <param name="value">Any number.</param>
    /// <param name="digits">Significant digits, 1 or more; all digits before the point are shown.</param>
    /// <remarks>From 10¹² on and below 10⁻⁹ a power of ten is written out: 1.5e-10 is <c>1.5 × 10⁻¹⁰</c>.</remarks>
    public static string Of(double value, int digits = 2)
    {
        if (!double.IsFinite(value))
            return (
                double.IsNaN(value) ? "no number"
                : value > 0 ? "∞"
                : "−∞"
            );
        var size = Math.Abs(value);
        return size == 0 || (size >= Smallest && size < Largest)
            ? Short(Fixed(value, Decimals(value, digits)))
            : WithPower(value, digits);
    }

    /// <summary>A value with its unit, with an SI prefix where the plain number would be long.</summary>
    /// <param name="value">Any number, in the unit.</param>
    /// <param name="symbol">Symbol of the unit, one that takes prefixes.</param>
    /// <param name="digits">Significant digits, 1 or more.</param>
    /// <remarks>SI brochure, 9th edition, table 7. 1e6 Ω is <c>1 MΩ</c>, 123 456 W to four digits <c>123.5 kW</c>, 0.00025 V <c>250 µV</c>;
    /// from 0.001 up to 100 000 there is none: 0.05 V is
    /// <c>0.05 V</c>, 12 500 W <c>12500 W</c>.</remarks>
    public static string With(double value, string symbol, int digits = 6)
    {
        var size = Math.Abs(value);
        if (!(size is > Smallest and < LeastPlain) && !(size is >= MostPlain and < Largest))
            return $"{Of(value, digits)} {symbol}";
        var (prefix, factor) = Prefixes.LastOrDefault(p => Rounded(size, digits) >= p.Factor, Prefixes[0]);
        return $"{Of(value / factor, digits)} {prefix}{symbol}";
    }

    /// <summary>A value as one of several that span so much: to a thousandth of the span, <c>299.9</c> of 300 and 0.0002 of 300 <c>0</c>.</summary>
    internal static string Within(double value, double span) => Short(Fixed(value, Decimals(span * 1e-3, 1)));

    /// <summary>A probability to two digits, or that it is as good as none.</summary>
    internal static string Chance(double chance) => chance < 1e-4 ? "below 0.0001" : Of(chance);

    /// <summary>A size with its sign: <c>+4.8</c>, <c>−0.2</c>, <c>0</c>.</summary>
    internal static string Signed(double value, int digits = 2) =>
        value > 0 ? "+" + Of(value, digits) : Of(value, digits);

    /// <summary>Volts or amperes in thousandths where their grain is finer than a thousandth: the unit and the factor to it.</summary>
    internal static (string Unit, double Factor) Scaled(string unit, double grain) =>
        unit is "V" or "A" && Math.Abs(grain) < 1e-3 && grain != 0 ? ($"m{unit}", 1000) : (unit, 1);

    private static string WithPower(double value, int digits)
    {
        var place = (int)Math.Floor(Math.Log10(Rounded(Math.Abs(value), digits)));
        return $"{Short(Fixed(value / Math.Pow(10, place), digits - 1))} × 10{Raised(place)}";
    }

    private static string Raised(int power) =>
        string.Concat($"{power}".Select(c => c == '-' ? '⁻' : "⁰¹²³⁴⁵⁶⁷⁸⁹"[c - '0']));

    /// <summary>A size to so many digits, so that 999.9996 to six of them is read as 1000.</summary>
    private static double Rounded(double size, int digits)
    {
        var place = Math.Pow(10, Math.Floor(Math.Log10(size)) - digits + 1);
        return Math.Round(size / place) * place;
    }

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
