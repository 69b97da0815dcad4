namespace LoadTest.Analysis.Numerics;

/// <summary>Student's t distribution: cumulative probability and quantile for any degrees of freedom above zero.</summary>
/// <remarks>Through the incomplete beta function (DLMF 8.17), inverted in logarithms so the far tail keeps its digits. Above 10⁶
/// degrees of freedom the quantile is the expansion of Abramowitz and Stegun 26.7.5 in 1/ν, exact to double there. Relative error of the
/// quantile below 10⁻¹², degrees of freedom fractional or infinite. Table G.2 of JCGM 100:2008: ν = 10, 95 % gives 2.228138851964939.</remarks>
public static class StudentT
{
    private const double LargeDegrees = 1e6;

    /// <summary>Probability of a value at or below t.</summary>
    public static double Cdf(double t, double degreesOfFreedom) =>
        t <= 0 ? UpperTail(-t, degreesOfFreedom) : 1 - UpperTail(t, degreesOfFreedom);

    /// <summary>Probability of a value above t, with its own digits in the far tail.</summary>
    public static double UpperTail(double t, double degreesOfFreedom)
    {
        Probability.RequireNumber(t, nameof(t));
        Probability.RequireDegrees(degreesOfFreedom, nameof(degreesOfFreedom), infiniteAllowed: true);
        if (t < 0)
        {
            return 1 - UpperTail(-t, degreesOfFreedom);
        }

        if (t == 0)
        {
            return 0.5;
        }

        return degreesOfFreedom > LargeDegrees
            ? Normal.UpperTail(NormalEquivalent(t, degreesOfFreedom))
            : 0.5 * Outside(t, degreesOfFreedom).Upper;
    }

    /// <summary>Density at t. Density(0, 1) = 1/π.</summary>
    public static double Density(double t, double degreesOfFreedom)
    {
        Probability.RequireNumber(t, nameof(t));
        Probability.RequireDegrees(degreesOfFreedom, nameof(degreesOfFreedom), infiniteAllowed: true);
        if (degreesOfFreedom > 1e15)
        {
            return Normal.Density(t);
        }

        var half = 0.5 * degreesOfFreedom;
        var rise =
            half >= 10
                ? GammaFunctions.LogGammaRise(half, 0.5)
                : GammaFunctions.LogGamma(half + 0.5) - GammaFunctions.LogGamma(half);
        var log = rise - (0.5 * Math.Log(Math.PI * degreesOfFreedom)) - ((half + 0.5) * LogSpread(t, degreesOfFreedom));
        return Math.Exp(log);
    }

    /// <summary>t below which the given probability lies.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Probability not within (0, 1), or degrees of freedom not above 0.</exception>
    public static double Quantile(double probability, double degreesOfFreedom)
    {
        Probability.RequireOpen(probability, nameof(probability));
        return probability <= 0.5
            ? -UpperQuantile(probability, degreesOfFreedom)
            : UpperQuantile(1 - probability, degreesOfFreedom);
    }

    /// <summary>Factor t for a symmetric interval of the given coverage: TwoSided(0.95, 10) = 2.228138851964939.</summary>
    /// <param name="coverage">Probability inside ±t, above 0 and below 1, for instance 0.95.</param>
    /// <param name="degreesOfFreedom">Effective degrees of freedom, above zero; infinity gives the normal factor.</param>
    public static double TwoSided(double coverage, double degreesOfFreedom)
    {
        Probability.RequireOpen(coverage, nameof(coverage));
        Probability.RequireDegrees(degreesOfFreedom, nameof(degreesOfFreedom), infiniteAllowed: true);
        return coverage < 0.5
            ? FromCentre(0.5 * coverage, degreesOfFreedom)
            : FromTail(0.5 * (1 - coverage), degreesOfFreedom);
    }

    /// <summary>t above which the given probability lies; keeps its digits where 1 − probability would round to 1.</summary>
    public static double UpperQuantile(double probability, double degreesOfFreedom)
    {
        Probability.RequireOpen(probability, nameof(probability));
        Probability.RequireDegrees(degreesOfFreedom, nameof(degreesOfFreedom), infiniteAllowed: true);
        return probability switch
        {
            0.5 => 0,
            > 0.5 => -UpperQuantile(1 - probability, degreesOfFreedom),
            > 0.25 => FromCentre(0.5 - probability, degreesOfFreedom),
            _ => FromTail(probability, degreesOfFreedom),
        };
    }

    // P(T > t) = tail, tail at most ½.
    private static double FromTail(double tail, double nu)
    {
        if (nu > LargeDegrees)
        {
            return Expansion(Normal.UpperQuantile(tail), nu);
        }

        return Finite(
            PositiveQuantile.Solve(
                t => (0.5 * Outside(t, nu).Upper, Density(t, nu)),
                tail,
                falling: true,
                Start(tail, nu)
            ),
            tail,
            nu
        );
    }

    // P(0 < T < t) = centre, centre below ¼.
    private static double FromCentre(double centre, double nu)
    {
        if (nu > LargeDegrees)
        {
            return Expansion(Normal.Quantile(0.5 + centre), nu);
        }

        var start = Math.Log(centre / Density(0, nu));
        return PositiveQuantile.Solve(t => (0.5 * Outside(t, nu).Lower, Density(t, nu)), centre, falling: false, start);
    }

    private static double Start(double tail, double nu)
    {
        if (nu >= 3)
        {
            var normal = Normal.UpperQuantile(Math.Min(tail, 0.4999));
            var expanded = Expansion(normal, nu);
            if (normal * normal < nu && expanded > 0)
            {
                return Math.Log(expanded);
            }
        }

        // Far tail: P = x^(ν/2) / (ν B(ν/2, ½)), x = ν / (ν + t²).
        var half = 0.5 * nu;
        var logBeta =
            GammaFunctions.LogGamma(half) + GammaFunctions.LogGamma(0.5) - GammaFunctions.LogGamma(half + 0.5);
        var logX = (Math.Log(tail * nu) + logBeta) / half;
        return 0.5 * (Math.Log(nu) - Math.Min(logX, -0.01));
    }

    private static double Finite(double t, double tail, double nu) =>
        t < 1e307
            ? t
            : throw new ArgumentOutOfRangeException(
                nameof(tail),
                tail,
                $"The t quantile for {Figures.Of(nu, 6)} degrees of freedom is beyond the range of a double at this probability."
            );

    // Lower = P(|T| < t), Upper = P(|T| > t).
    private static (double Lower, double Upper) Outside(double t, double nu)
    {
        var square = t * t;
        var logX = -LogSpread(t, nu);
        var x = Math.Exp(logX);
        var y = double.IsPositiveInfinity(square) ? 1 : square / (nu + square);
        var logY =
            y == 0 ? (2 * Math.Log(t)) - Math.Log(nu)
            : y < 0.5 ? Math.Log(y)
            : GammaFunctions.LogOnePlus(-x);
        var (lower, upper) = IncompleteBeta.Both(0.5 * nu, 0.5, x, y, logX, logY);
        return (upper, lower);
    }

    // ln(1 + t²/ν), also where t² overflows.
    private static double LogSpread(double t, double nu)
    {
        var ratio = Math.Abs(t) / Math.Sqrt(nu);
        return ratio > 1e8 ? 2 * Math.Log(ratio) : GammaFunctions.LogOnePlus(t * t / nu);
    }

    // Abramowitz and Stegun 26.7.5, four terms.
    private static double Expansion(double z, double nu)
    {
        var s = z * z;
        var g1 = (s + 1) * z / 4;
        var g2 = (((5 * s) + 16) * s + 3) * z / 96;
        var g3 = (((((3 * s) + 19) * s) + 17) * s - 15) * z / 384;
        var g4 = (((((((79 * s) + 776) * s) + 1482) * s) - 1920) * s - 945) * z / 92160;
        return z + ((g1 + ((g2 + ((g3 + (g4 / nu)) / nu)) / nu)) / nu);
    }

    // z with Expansion(z) = t, by fixed-point steps; contracts like 1/ν.
    private static double NormalEquivalent(double t, double nu)
    {
        if (double.IsPositiveInfinity(nu) || t * t > 0.01 * nu)
        {
            return double.IsPositiveInfinity(nu) ? t : Math.Sqrt(nu * GammaFunctions.LogOnePlus(t * t / nu));
        }

        var z = t;
        for (var step = 0; step < 6; step++)
        {
            z -= Expansion(z, nu) - t;
        }

        return z;
    }
}
