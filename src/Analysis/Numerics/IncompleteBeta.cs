namespace LoadTest.Analysis.Numerics;

/// <summary>Regularised incomplete beta function, both tails, accurate in the far tail.</summary>
/// <remarks>Continued fraction DLMF 8.17.22 by the modified Lentz method, on the side where it converges; the prefactor by Stirling
/// remainders so that large parameters do not cancel. I_0.5(2, 3) = 0.6875.</remarks>
internal static class IncompleteBeta
{
    private const int MaximumTerms = 200_000;

    /// <summary>I_x(a, b) and 1 − I_x(a, b), each with its own digits.</summary>
    /// <param name="a">First parameter, above zero.</param>
    /// <param name="b">Second parameter, above zero.</param>
    /// <param name="x">Argument, 0 to 1.</param>
    /// <param name="y">1 − x, given because the caller often knows it better than a subtraction would.</param>
    /// <param name="logX">ln x, for arguments that underflow.</param>
    /// <param name="logY">ln y.</param>
    public static (double Lower, double Upper) Both(double a, double b, double x, double y, double logX, double logY)
    {
        if (x < (a + 1) / (a + b + 2))
        {
            var lower = Math.Exp(LogPower(a, b, x, y, logX, logY)) * Fraction(a, b, x) / a;
            return (lower, 1 - lower);
        }

        var upper = Math.Exp(LogPower(b, a, y, x, logY, logX)) * Fraction(b, a, y) / b;
        return (1 - upper, upper);
    }

    /// <summary>I_x(a, b) and its complement from x alone.</summary>
    public static (double Lower, double Upper) Both(double a, double b, double x) =>
        Both(a, b, x, 1 - x, Math.Log(x), GammaFunctions.LogOnePlus(-x));

    /// <summary>ln of x^a y^b / B(a, b).</summary>
    public static double LogPower(double a, double b, double x, double y, double logX, double logY)
    {
        if (a >= 10 && b >= 10)
        {
            var mean = a / (a + b);
            var offset = x <= y ? a - ((a + b) * x) : ((a + b) * y) - b;
            var exponent =
                -(a * GammaFunctions.LogDeficit(-offset / a))
                - (b * GammaFunctions.LogDeficit(offset / b))
                + GammaFunctions.StirlingRemainder(a + b)
                - GammaFunctions.StirlingRemainder(a)
                - GammaFunctions.StirlingRemainder(b);
            return exponent + (0.5 * Math.Log(b * mean)) - GammaFunctions.LogRootTwoPi;
        }

        var (small, large) = a < b ? (a, b) : (b, a);
        var rise =
            large >= 10
                ? GammaFunctions.LogGammaRise(large, small)
                : GammaFunctions.LogGamma(large + small) - GammaFunctions.LogGamma(large);
        return (a * logX) + (b * logY) + rise - GammaFunctions.LogGamma(small);
    }

    private static double Fraction(double a, double b, double x)
    {
        const double Tiny = 1e-300;
        var c = 1.0;
        var d = Away(1 - ((a + b) * x / (a + 1)), Tiny);
        d = 1 / d;
        var value = d;
        for (var m = 1; m <= MaximumTerms; m++)
        {
            var twice = 2.0 * m;
            var even = m * (b - m) * x / ((a + twice - 1) * (a + twice));
            d = 1 / Away(1 + (even * d), Tiny);
            c = Away(1 + (even / c), Tiny);
            value *= d * c;
            var odd = -(a + m) * (a + b + m) * x / ((a + twice) * (a + twice + 1));
            d = 1 / Away(1 + (odd * d), Tiny);
            c = Away(1 + (odd / c), Tiny);
            var step = d * c;
            value *= step;
            if (Math.Abs(step - 1) <= 2.3e-16)
            {
                return value;
            }
        }

        throw new ArithmeticException(
            $"Incomplete beta function at a = {Figures.Of(a, 6)}, b = {Figures.Of(b, 6)}, x = {Figures.Of(x, 6)}: no convergence in {MaximumTerms} terms."
        );
    }

    private static double Away(double value, double tiny) => Math.Abs(value) < tiny ? tiny : value;
}
