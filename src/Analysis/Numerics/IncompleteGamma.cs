namespace LoadTest.Analysis.Numerics;

/// <summary>Regularised incomplete gamma function, both tails.</summary>
/// <remarks>Series DLMF 8.11.4 below the mean, continued fraction DLMF 8.9.2 above. P(1, 1) = 1 − 1/e = 0.632120558828558.</remarks>
internal static class IncompleteGamma
{
    private const int MaximumTerms = 1_000_000;

    /// <summary>P(a, x) and Q(a, x) = 1 − P, each with its own digits.</summary>
    public static (double Lower, double Upper) Both(double a, double x)
    {
        if (x == 0)
        {
            return (0, 1);
        }

        var power = Math.Exp(LogPower(a, x));
        if (x < a + 1)
        {
            var lower = power * Series(a, x) / a;
            return (lower, 1 - lower);
        }

        var upper = power * Fraction(a, x);
        return (1 - upper, upper);
    }

    /// <summary>ln of x^a e^(−x) / Γ(a).</summary>
    public static double LogPower(double a, double x) =>
        a >= 10
            ? (0.5 * Math.Log(a))
                - GammaFunctions.LogRootTwoPi
                - (a * GammaFunctions.LogDeficit((x - a) / a))
                - GammaFunctions.StirlingRemainder(a)
            : (a * Math.Log(x)) - x - GammaFunctions.LogGamma(a);

    private static double Series(double a, double x)
    {
        var term = 1.0;
        var sum = 1.0;
        for (var n = 1; n <= MaximumTerms; n++)
        {
            term *= x / (a + n);
            sum += term;
            if (term < sum * 1e-17)
            {
                return sum;
            }
        }

        throw new ArithmeticException(
            $"Incomplete gamma series at a = {Figures.Of(a, 6)}, x = {Figures.Of(x, 6)} did not converge."
        );
    }

    private static double Fraction(double a, double x)
    {
        const double Tiny = 1e-300;
        var b = x + 1 - a;
        var c = 1 / Tiny;
        var d = 1 / b;
        var value = d;
        for (var n = 1; n <= MaximumTerms; n++)
        {
            var numerator = -n * (n - a);
            b += 2;
            d = Away((numerator * d) + b, Tiny);
            c = Away(b + (numerator / c), Tiny);
            d = 1 / d;
            var step = d * c;
            value *= step;
            if (Math.Abs(step - 1) <= 2.3e-16)
            {
                return value;
            }
        }

        throw new ArithmeticException(
            $"Incomplete gamma fraction at a = {Figures.Of(a, 6)}, x = {Figures.Of(x, 6)} did not converge."
        );
    }

    private static double Away(double value, double tiny) => Math.Abs(value) < tiny ? tiny : value;
}
