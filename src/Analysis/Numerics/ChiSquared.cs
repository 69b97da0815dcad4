namespace LoadTest.Analysis.Numerics;

/// <summary>Chi-squared distribution: cumulative probability and quantile.</summary>
/// <remarks>Through the incomplete gamma function (DLMF 8.2). Quantile(0.95, 8) = 15.5073130558655.</remarks>
public static class ChiSquared
{
    /// <summary>Probability of a value at or below x.</summary>
    public static double Cdf(double x, double degreesOfFreedom) => Both(x, degreesOfFreedom).Lower;

    /// <summary>Probability of a value above x: the p-value of a weighted sum of squares.</summary>
    public static double UpperTail(double x, double degreesOfFreedom) => Both(x, degreesOfFreedom).Upper;

    /// <summary>x below which the given probability lies.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Probability not within (0, 1), or degrees of freedom not above 0 and finite.</exception>
    public static double Quantile(double probability, double degreesOfFreedom)
    {
        Probability.RequireOpen(probability, nameof(probability));
        Probability.RequireDegrees(degreesOfFreedom, nameof(degreesOfFreedom), infiniteAllowed: false);
        var half = 0.5 * degreesOfFreedom;

        // Wilson and Hilferty's cube, or the leading term of the series where that fails.
        var spread = 2 / (9 * degreesOfFreedom);
        var cube = 1 - spread + (Normal.Quantile(probability) * Math.Sqrt(spread));
        var start =
            cube > 0.2
                ? Math.Log(degreesOfFreedom) + (3 * Math.Log(cube))
                : ((Math.Log(probability) + GammaFunctions.LogGamma(half + 1)) / half) + Math.Log(2);
        var upper = probability > 0.5;
        return PositiveQuantile.Solve(
            x =>
            {
                var (lower, tail) = IncompleteGamma.Both(half, 0.5 * x);
                return (upper ? tail : lower, Math.Exp(IncompleteGamma.LogPower(half, 0.5 * x)) / x);
            },
            upper ? 1 - probability : probability,
            upper,
            start
        );
    }

    private static (double Lower, double Upper) Both(double x, double degreesOfFreedom)
    {
        Probability.RequireNumber(x, nameof(x));
        Probability.RequireDegrees(degreesOfFreedom, nameof(degreesOfFreedom), infiniteAllowed: false);
        return x <= 0 ? (0, 1)
            : double.IsPositiveInfinity(x) ? (1, 0)
            : IncompleteGamma.Both(0.5 * degreesOfFreedom, 0.5 * x);
    }
}
