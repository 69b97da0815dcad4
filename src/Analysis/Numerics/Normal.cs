using MathNet.Numerics;

namespace LoadTest.Analysis.Numerics;

/// <summary>Standard normal distribution: cumulative probability, density and quantile.</summary>
/// <remarks>MathNet's complementary error function gives the probability; its inverse is polished by Halley steps on ours.</remarks>
public static class Normal
{
    private const double RootTwo = 1.4142135623730950488;
    private const double InverseRootTwoPi = 0.39894228040143267794;

    /// <summary>Probability of a value at or below z. Cdf(1.96) = 0.975002104851780.</summary>
    public static double Cdf(double z)
    {
        Probability.RequireNumber(z, nameof(z));
        return 0.5 * SpecialFunctions.Erfc(-z / RootTwo);
    }

    /// <summary>Probability of a value above z, with its own digits in the far tail.</summary>
    public static double UpperTail(double z) => Cdf(-z);

    /// <summary>Density at z. Density(0) = 0.398942280401433.</summary>
    public static double Density(double z)
    {
        Probability.RequireNumber(z, nameof(z));
        return InverseRootTwoPi * Math.Exp(-0.5 * z * z);
    }

    /// <summary>z below which the probability lies. Quantile(0.975) = 1.95996398454005.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The probability is not above 0 and below 1.</exception>
    public static double Quantile(double probability)
    {
        Probability.RequireOpen(probability, nameof(probability));
        if (probability > 0.5)
        {
            return -LowerQuantile(1 - probability);
        }

        return LowerQuantile(probability);
    }

    /// <summary>z above which the given probability lies; keeps its digits where 1 − probability would round to 1.</summary>
    public static double UpperQuantile(double probability)
    {
        Probability.RequireOpen(probability, nameof(probability));
        return probability <= 0.5 ? -LowerQuantile(probability) : LowerQuantile(1 - probability);
    }

    private static double LowerQuantile(double probability)
    {
        var z = -RootTwo * SpecialFunctions.ErfcInv(2 * probability);
        for (var step = 0; step < 3; step++)
        {
            // Newton on ln Φ, corrected to second order (Halley), so the tail keeps relative digits.
            var lower = 0.5 * SpecialFunctions.Erfc(-z / RootTwo);
            var hazard = Density(z) / lower;
            var excess = Math.Log(lower / probability);
            var newton = excess / hazard;
            z -= newton / (1 + (0.5 * newton * (z + hazard)));
        }

        return z;
    }
}
