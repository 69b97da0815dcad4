using System.Globalization;

namespace LoadTest.Simulator.Meters;

/// <summary>Numbers as SCPI writes them.</summary>
internal static class ScpiNumber
{
    /// <summary>Over range, positive: SCPI's infinity.</summary>
    public const double Infinity = 9.9e37;

    /// <summary>Not a number.</summary>
    public const double NotANumber = 9.91e37;

    private static readonly (string Suffix, double Factor)[] VoltSuffixes =
    [
        ("KV", 1e3),
        ("MV", 1e-3),
        ("UV", 1e-6),
        ("V", 1),
    ];

    /// <summary>A reading in NR3 form: +3.20012345E+01.</summary>
    public static string Format(double value) =>
        value.ToString("+0.00000000E+00;-0.00000000E+00;+0.00000000E+00", CultureInfo.InvariantCulture);

    /// <summary>Reads a decimal number with an optional suffix of volts.</summary>
    /// <returns>Null and the value, or the standard's error.</returns>
    public static ScpiError? Read(string text, bool takesVolts, out double value)
    {
        value = 0;
        if (text.Length == 0)
        {
            return ScpiError.MissingParameter;
        }

        if (text[0] is '"' or '\'' or '#')
        {
            return ScpiError.DataType;
        }

        if (!(char.IsAsciiDigit(text[0]) || text[0] is '+' or '-' or '.'))
        {
            return ScpiError.IllegalParameter;
        }

        var end = NumberLength(text);
        var suffix = text[end..].Trim();
        if (
            !double.TryParse(
                text.AsSpan(0, end),
                NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent,
                CultureInfo.InvariantCulture,
                out value
            ) || !double.IsFinite(value)
        )
        {
            return ScpiError.InvalidCharacterInNumber;
        }

        return suffix.Length == 0 ? null : Scale(suffix, takesVolts, ref value);
    }

    private static ScpiError? Scale(string suffix, bool takesVolts, ref double value)
    {
        if (!suffix.All(char.IsAsciiLetter))
        {
            return ScpiError.InvalidCharacterInNumber;
        }

        foreach (var (name, factor) in VoltSuffixes)
        {
            if (takesVolts && suffix.Equals(name, StringComparison.OrdinalIgnoreCase))
            {
                value *= factor;
                return null;
            }
        }

        return ScpiError.InvalidSuffix;
    }

    // The longest start that can be a decimal number; an E belongs to it only before an exponent.
    private static int NumberLength(string text)
    {
        var i = 0;
        while (i < text.Length && (char.IsAsciiDigit(text[i]) || text[i] is '.' or '+' or '-'))
        {
            i++;
        }

        var exponent = i + 1;
        if (i < text.Length && text[i] is 'E' or 'e')
        {
            exponent += exponent < text.Length && text[exponent] is '+' or '-' ? 1 : 0;
            if (exponent < text.Length && char.IsAsciiDigit(text[exponent]))
            {
                i = exponent;
                while (i < text.Length && char.IsAsciiDigit(text[i]))
                {
                    i++;
                }
            }
        }

        return i;
    }
}
