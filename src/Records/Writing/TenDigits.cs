using System.Globalization;

namespace LoadTest.Records.Writing;

/// <summary>Numbers of a record as decimal text of ten significant digits.</summary>
/// <remarks>
/// Text, because a certificate's value must not pass through somebody's binary reader on its way. 123.4567890123 is
/// <c>123.4567890</c>; 1.5e-7 is <c>1.500000000e-7</c>; zero is <c>0</c>. Ties are decided on the exact binary value.
/// </remarks>
public static class TenDigits
{
    private const int Digits = 10;
    private const int LowestPlain = -4;

    /// <summary>A finite number with ten significant digits; infinity is <c>infinite</c>.</summary>
    /// <exception cref="ArgumentException">The value is not a number: what is missing is written as null.</exception>
    public static string Of(double value)
    {
        if (double.IsNaN(value))
            throw new ArgumentException(
                "Not a number cannot stand in a record; a missing value is null.",
                nameof(value)
            );
        if (double.IsInfinity(value))
            return value > 0 ? "infinite" : "-infinite";
        if (value == 0)
            return "0";
        var scientific = value.ToString($"E{Digits - 1}", CultureInfo.InvariantCulture);
        var split = scientific.IndexOf('E', StringComparison.Ordinal);
        var exponent = int.Parse(scientific.AsSpan(split + 1), CultureInfo.InvariantCulture);
        var mantissa = scientific[..split];
        return exponent is < LowestPlain or >= Digits ? $"{mantissa}e{exponent}" : Plain(mantissa, exponent);
    }

    private static string Plain(string mantissa, int exponent)
    {
        var sign = mantissa[0] == '-' ? "-" : "";
        var digits = mantissa[sign.Length..].Replace(".", "", StringComparison.Ordinal);
        if (exponent < 0)
            return $"{sign}0.{new string('0', -exponent - 1)}{digits}";
        return exponent == Digits - 1 ? sign + digits : $"{sign}{digits[..(exponent + 1)]}.{digits[(exponent + 1)..]}";
    }
}
