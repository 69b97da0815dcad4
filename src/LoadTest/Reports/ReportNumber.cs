using LoadTest.Analysis;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Records;
using LoadTest.Sequencer.Text;

namespace LoadTest.Reports;

/// <summary>Numbers as a report prints them: rounded to what is known, with a true minus sign.</summary>
/// <remarks>JCGM 100:2008, 7.2.6: the uncertainty to two significant digits, the value to the same place.
/// 149.9388 with U = 0.1552 is <c>149.94 ± 0.16</c>.</remarks>
internal static class ReportNumber
{
    private const int MostDecimals = 12;

    /// <summary>A value to the place of its expanded uncertainty, without it.</summary>
    public static string Value(double value, double expanded, double factor = 1) =>
        Fixed(value * factor, Decimals(expanded * factor, value * factor));

    /// <summary>An expanded uncertainty to two significant digits.</summary>
    public static string Uncertainty(double expanded, double factor = 1) =>
        expanded == 0 ? "0" : Fixed(expanded * factor, Decimals(expanded * factor, expanded * factor));

    /// <summary>Value ± U with the unit people read it in.</summary>
    public static string WithUncertainty(Estimate estimate, double expanded, Unit unit)
    {
        var (symbol, factor) = ResultWords.Shown(unit);
        return Stated.WithUncertainty(estimate.Value, expanded, symbol, factor);
    }

    /// <summary>A slope of a curve in milliohms, in brackets beside its V/100 A; empty for anything else.</summary>
    /// <remarks>1 V/100 A is 10 mΩ: −3.95 V/100 A is <c>(−39.5 mΩ)</c>.</remarks>
    public static string InMilliohms(CurveResult result) =>
        result.Unit == "V/100 A" ? $" ({Value(result.Value, result.StandardUncertainty ?? 0, 10)} mΩ)" : "";

    /// <summary>A number to some significant digits.</summary>
    public static string Significant(double value, int digits)
    {
        if (value == 0 || !double.IsFinite(value))
            return value == 0 ? "0" : "∞";
        var place = (int)Math.Floor(Math.Log10(Math.Abs(value)));
        return place > 14 || place < -9
            ? Figures.Of(value, digits)
            : Fixed(value, Math.Clamp(digits - 1 - place, 0, MostDecimals));
    }

    /// <summary>A number to at most this many significant digits, without trailing zeros.</summary>
    public static string Trimmed(double value, int digits)
    {
        var text = Significant(value, digits);
        return text.Contains('.') && !text.Contains('×') ? text.TrimEnd('0').TrimEnd('.') : text;
    }

    /// <summary>A number with this many decimals.</summary>
    public static string Fixed(double value, int decimals)
    {
        var text = value.ToString($"F{decimals}");
        var isZero = text.All(c => c is '-' or '0' or '.');
        return Minus(isZero ? text.TrimStart('-') : text);
    }

    /// <summary>A time since the run was opened: minutes and seconds.</summary>
    public static string Time(TimeSpan time) =>
        time.TotalHours >= 1
            ? $"{(int)time.TotalHours}:{time.Minutes:00}:{time.Seconds:00}"
            : $"{time.Minutes}:{time.Seconds:00}.{time.Milliseconds / 100}";

    /// <summary>How long something took, in words.</summary>
    public static string Duration(TimeSpan time) =>
        time.TotalHours >= 1 ? $"{(int)time.TotalHours} h {time.Minutes} min"
        : time.TotalMinutes >= 1 ? $"{time.Minutes} min {time.Seconds} s"
        : $"{Fixed(time.TotalSeconds, 1)} s";

    /// <summary>Numbers of one column with as many decimals each as the one with most, six digits at most; a dash for none.</summary>
    public static IReadOnlyList<string> Column(IReadOnlyList<double?> values)
    {
        var decimals = values
            .OfType<double>()
            .Select(v =>
                Trimmed(v, 6) is var t && t.IndexOf('.', StringComparison.Ordinal) is >= 0 and var p
                    ? t.Length - p - 1
                    : 0
            )
            .DefaultIfEmpty(0)
            .Max();
        return [.. values.Select(v => v is { } number ? Fixed(number, decimals) : "–")];
    }

    /// <summary>A prefix for the unit of small numbers, and the factor to it: 0.000019 is read as 19 with µ.</summary>
    /// <param name="largest">The largest of them, in the unit without a prefix.</param>
    public static (string Prefix, double Factor) Prefix(double largest) =>
        largest switch
        {
            0 or >= 0.1 => ("", 1),
            >= 0.0001 => ("m", 1e3),
            >= 0.0000001 => ("µ", 1e6),
            _ => ("n", 1e9),
        };

    /// <summary>A space and the symbol; nothing for a plain number.</summary>
    public static string Symbol(string symbol) => symbol.Length == 0 ? "" : $" {symbol}";

    // Two significant digits of U; with no U, six of the value.
    private static int Decimals(double expanded, double value)
    {
        var size = Math.Abs(expanded);
        if (size == 0 || !double.IsFinite(size))
            return value == 0 ? 0 : Math.Clamp(5 - (int)Math.Floor(Math.Log10(Math.Abs(value))), 0, MostDecimals);
        var place = (int)Math.Floor(Math.Log10(size));
        // 0.996 rounds to 1.0, one place up.
        if (Math.Round(size / Math.Pow(10, place - 1)) >= 100)
            place++;
        return Math.Clamp(1 - place, 0, MostDecimals);
    }

    private static string Minus(string text) => text.Replace('-', '−');
}
