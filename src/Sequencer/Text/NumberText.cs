using System.Globalization;
using LoadTest.Analysis;

namespace LoadTest.Sequencer.Text;

/// <summary>Reads numbers as a person writes them, with nothing guessed.</summary>
/// <remarks><c>[+|-] digits [. digits] [e [+|-] digits]</c>; − (U+2212) is a minus too. Refused, each with its own reason: decimal
/// comma, thousands separators, leading zeros (elsewhere octal), a missing digit beside the point, colons (elsewhere base 60),
/// NaN, infinity, and values beyond 1e-18 to 1e18, where only a slip of the pen or a trap can lie.</remarks>
internal static class NumberText
{
    private const double Smallest = 1e-18;
    private const double Largest = 1e18;

    /// <summary>Length of the text that looks like a number at the start; 0 when none does.</summary>
    internal static int LengthAtStart(string text)
    {
        var at = StartsWithSign(text) ? 1 : 0;
        var sign = at;
        while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] is '.' or ',' or '\'' or '_' or ':'))
        {
            at++;
        }
        if (!text.AsSpan(sign, at - sign).ContainsAnyInRange('0', '9'))
        {
            return 0;
        }
        var exponent = at;
        if (exponent < text.Length && text[exponent] is 'e' or 'E')
        {
            exponent++;
            exponent += StartsWithSign(text.AsSpan(exponent)) ? 1 : 0;
            var digits = exponent;
            while (exponent < text.Length && char.IsAsciiDigit(text[exponent]))
            {
                exponent++;
            }
            at = exponent > digits ? exponent : at;
        }
        return at;
    }

    /// <summary>The number times ten to the power, correctly rounded once: <c>50</c> with -3 is 0.05.</summary>
    /// <returns>Null when it was read; otherwise why not, as a clause that follows the text: <c>has a decimal comma…</c>.</returns>
    internal static string? Read(string text, int power, out double value)
    {
        value = 0;
        if (WhyNotPlain(text) is { } why)
        {
            return why;
        }
        var plain = text.Replace('\u2212', '-');
        var e = plain.IndexOfAny(['e', 'E']);
        var mantissa = e < 0 ? plain : plain[..e];
        var exponent =
            e < 0 ? 0 : int.Parse(plain[(e + 1)..], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture);
        var shifted = string.Create(CultureInfo.InvariantCulture, $"{mantissa}e{exponent + power}");
        value = double.Parse(shifted, NumberStyles.Float, CultureInfo.InvariantCulture);
        var isZero = !mantissa.AsSpan().ContainsAnyInRange('1', '9');
        if (!isZero && !(Math.Abs(value) is >= Smallest and <= Largest))
        {
            value = 0;
            return $"is beyond anything measured here; write a value between {Figures.Of(Smallest)} and {Figures.Of(Largest)}";
        }
        return null;
    }

    private static string? WhyNotPlain(string text)
    {
        var sign = StartsWithSign(text) ? 1 : 0;
        var e = text.IndexOfAny(['e', 'E']);
        var mantissa = text[sign..(e < 0 ? text.Length : e)];
        if (mantissa.Contains(',', StringComparison.Ordinal))
        {
            return "has a comma; write a decimal point and no thousands separators";
        }
        if (mantissa.AsSpan().ContainsAny('\'', '_'))
        {
            return "has a thousands separator; write the digits without it";
        }
        if (mantissa.Contains(':', StringComparison.Ordinal))
        {
            return "has a colon; write one number, for example 90 min instead of 1:30";
        }
        var parts = mantissa.Split('.');
        if (parts.Length > 2 || parts.Any(p => p.Length == 0 || !p.All(char.IsAsciiDigit)))
        {
            return "is not a number with digits on both sides of the point";
        }
        if (parts[0].Length > 1 && parts[0][0] == '0')
        {
            return "begins with a zero; write it without";
        }
        return e >= 0 && !IsExponent(text.AsSpan(e + 1)) ? "has an exponent other than one to three digits" : null;
    }

    private static bool IsExponent(ReadOnlySpan<char> text)
    {
        var digits = StartsWithSign(text) ? text[1..] : text;
        return digits.Length is >= 1 and <= 3 && !digits.ContainsAnyExceptInRange('0', '9');
    }

    private static bool StartsWithSign(ReadOnlySpan<char> text) => text.Length > 0 && text[0] is '+' or '-' or '\u2212';
}
