using LoadTest.Analysis;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Records.Results;

/// <summary>What the last digit of a number that a person read and typed is worth.</summary>
internal static class LastDigit
{
    private static readonly double[] s_steps = [1, 0.1, 0.01, 0.001, 0.0001];

    /// <summary>The number with the uncertainty of the last digit.</summary>
    /// <param name="number">What was read.</param>
    /// <param name="all">Every reading of that meter in the same group: the finest of them says how finely it shows.</param>
    /// <remarks>Rectangular of half a digit, JCGM 100:2008, F.2.2.1; that the typed digits are the meter's is common practice,
    /// no source. 148 among whole numbers: u = 0.29.</remarks>
    public static Estimate Of(double number, double[] all)
    {
        var step = s_steps.FirstOrDefault(s => Array.TrueForAll(all, v => IsMultiple(v, s)), s_steps[^1]);
        return new Estimate(number, UncertaintyInput.FromResolution("last digit", step).StandardUncertainty);
    }

    /// <summary>Size of the last digit of a number as it was typed; zero when nothing is known of it.</summary>
    /// <remarks>"9.0" is read to 0.1 and "9" to 1: a zero that was typed was read. "1.20e3" is read to 10.</remarks>
    public static double Step(string? typed)
    {
        if (typed is null)
            return 0;
        var digits = typed.AsSpan().Trim();
        var end = digits.IndexOfAnyExcept("+-−.0123456789");
        var exponent = 0;
        if (end >= 0)
        {
            if (digits[end] is 'e' or 'E' && int.TryParse(digits[(end + 1)..], out var power))
                exponent = power;
            digits = digits[..end];
        }
        var point = digits.IndexOf('.');
        return digits.IndexOfAnyInRange('0', '9') < 0
            ? 0
            : Math.Pow(10, exponent - (point < 0 ? 0 : digits.Length - 1 - point));
    }

    private static bool IsMultiple(double value, double step)
    {
        var steps = value / step;
        return Math.Abs(steps - Math.Round(steps)) < 1e-6;
    }
}
