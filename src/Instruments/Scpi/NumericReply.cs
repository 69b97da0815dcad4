using System.Globalization;
using System.Text;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Scpi;

/// <summary>A number as an instrument writes it: NR1 <c>12</c>, NR2 <c>12.5</c>, NR3 <c>+1.25000E+01</c>.</summary>
/// <remarks>
/// IEEE 488.2 clause 8.7; special values by SCPI-99 volume 1, 7.2.1: 9.9E37 and −9.9E37 are over range, 9.91E37 is not a
/// number. Magnitudes from 1e37 on are taken as over range, whatever their digits. Anything that is not wholly one
/// number is not a number: text, an empty line, thousands separators, an exponent beyond a double.
/// </remarks>
internal static class NumericReply
{
    /// <summary>SCPI's not-a-number.</summary>
    public const double NotANumber = 9.91e37;

    /// <summary>Magnitudes from here on are over range.</summary>
    public const double LeastOverload = 1e37;

    /// <summary>Value and worth of a reply; the value is 0 unless good.</summary>
    public static IndicationFlag Read(ReadOnlySpan<byte> reply, out double value)
    {
        value = 0;
        reply = Ascii.Trimmed(reply);
        if (!IsNumber(reply))
            return IndicationFlag.NotANumber;
        if (!double.TryParse(reply, NumberStyles.Float, CultureInfo.InvariantCulture, out var number))
            return IndicationFlag.NotANumber;
        if (!double.IsFinite(number) || number == NotANumber)
            return IndicationFlag.NotANumber;
        if (Math.Abs(number) >= LeastOverload)
            return IndicationFlag.Overload;
        value = number;
        return IndicationFlag.Good;
    }

    /// <summary>The same for text.</summary>
    public static IndicationFlag Read(string reply, out double value) => Read(Encoding.UTF8.GetBytes(reply), out value);

    /// <summary>Sign, digits with at most one point, exponent with a sign of its own; nothing before, between or after.</summary>
    public static bool IsNumber(ReadOnlySpan<byte> text)
    {
        var k = 0;
        if (k < text.Length && text[k] is (byte)'+' or (byte)'-')
            k++;
        var digits = Digits(text, ref k);
        if (k < text.Length && text[k] == '.')
        {
            k++;
            digits += Digits(text, ref k);
        }
        if (digits == 0)
            return false;
        if (k == text.Length)
            return true;
        if (text[k] is not ((byte)'E' or (byte)'e'))
            return false;
        k++;
        if (k < text.Length && text[k] is (byte)'+' or (byte)'-')
            k++;
        return Digits(text, ref k) > 0 && k == text.Length;
    }

    private static int Digits(ReadOnlySpan<byte> text, ref int k)
    {
        var start = k;
        while (k < text.Length && char.IsAsciiDigit((char)text[k]))
            k++;
        return k - start;
    }
}
