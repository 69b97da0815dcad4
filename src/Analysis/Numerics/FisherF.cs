namespace LoadTest.Analysis.Numerics;

/// <summary>Fisher's F distribution: cumulative probability and quantile.</summary>
/// <remarks>Through the incomplete beta function (DLMF 8.17). Quantile(0.95, 9, 40) = 2.12402926, the value of JCGM 100:2008 H.5.</remarks>
public static class FisherF
{
    /// <summary>Probability of a ratio at or below x.</summary>
    public static double Cdf(double x, double numeratorDegrees, double denominatorDegrees) =>
        Both(x, numeratorDegrees, denominatorDegrees).Lower;

    /// <summary>Probability of a ratio above x: the p-value of an F test.</summary>
    public static double UpperTail(double x, double numeratorDegrees, double denominatorDegrees) =>
        Both(x, numeratorDegrees, denominatorDegrees).Upper;

    /// <summary>Ratio below which the given probability lies.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Probability not within (0, 1), or degrees of freedom not above 0 and finite.</exception>
    public static double Quantile(double probability, double numeratorDegrees, double denominatorDegrees)
    {
        Probability.RequireOpen(probability, nameof(probability));
        Require(numeratorDegrees, denominatorDegrees);
        var (a, b) = (0.5 * numeratorDegrees, 0.5 * denominatorDegrees);
        var upper = probability > 0.5;
        return PositiveQuantile.Solve(
            x =>
            {
                var (lower, tail) = Inside(x, numeratorDegrees, denominatorDegrees);
                return (upper ? tail : lower, Density(x, a, b));
            },
            upper ? 1 - probability : probability,
            upper,
            0
        );
    }

    private static double Density(double x, double a, double b)
    {
        var (p, q, logP, logQ) = Parts(x, a, b);
        return Math.Exp(IncompleteBeta.LogPower(a, b, p, q, logP, logQ)) / x;
    }

    private static (double Lower, double Upper) Both(double x, double numeratorDegrees, double denominatorDegrees)
    {
        Probability.RequireNumber(x, nameof(x));
        Require(numeratorDegrees, denominatorDegrees);
        return x <= 0 ? (0, 1)
            : double.IsPositiveInfinity(x) ? (1, 0)
            : Inside(x, numeratorDegrees, denominatorDegrees);
    }

    private static (double Lower, double Upper) Inside(double x, double numeratorDegrees, double denominatorDegrees)
    {
        var (a, b) = (0.5 * numeratorDegrees, 0.5 * denominatorDegrees);
        var (p, q, logP, logQ) = Parts(x, a, b);
        return IncompleteBeta.Both(a, b, p, q, logP, logQ);
    }

    // p = a x / (a x + b), q = 1 - p, each without subtraction.
    private static (double P, double Q, double LogP, double LogQ) Parts(double x, double a, double b)
    {
        var odds = a / b * x;
        var logP = -GammaFunctions.LogOnePlus(1 / odds);
        var logQ = -GammaFunctions.LogOnePlus(odds);
        return (Math.Exp(logP), Math.Exp(logQ), logP, logQ);
    }

    private static void Require(double numeratorDegrees, double denominatorDegrees)
    {
        Probability.RequireDegrees(numeratorDegrees, nameof(numeratorDegrees), infiniteAllowed: false);
        Probability.RequireDegrees(denominatorDegrees, nameof(denominatorDegrees), infiniteAllowed: false);
    }
}
