namespace LoadTest.Analysis.Numerics;

/// <summary>Logarithms and gamma-function pieces arranged so that large arguments do not cancel.</summary>
/// <remarks>Stirling remainder: DLMF 5.11.1; shifts by the recurrence DLMF 5.5.1.</remarks>
internal static class GammaFunctions
{
    public const double LogRootTwoPi = 0.91893853320467274178;

    // B(2k) / (2k (2k - 1)), k = 1..9 (DLMF 24.2, 5.11.1).
    private static readonly double[] s_stirling =
    [
        1.0 / 12,
        -1.0 / 360,
        1.0 / 1260,
        -1.0 / 1680,
        1.0 / 1188,
        -691.0 / 360360,
        1.0 / 156,
        -3617.0 / 122400,
        43867.0 / 244188,
    ];

    /// <summary>ln(1 + x) without losing the digits of a small x.</summary>
    public static double LogOnePlus(double x)
    {
        var w = 1 + x;
        return w == 1 ? x : Math.Log(w) * (x / (w - 1));
    }

    /// <summary>x − ln(1 + x), never below zero, without cancellation near zero.</summary>
    public static double LogDeficit(double x)
    {
        if (x is < -0.4 or > 0.7)
        {
            return x - LogOnePlus(x);
        }

        // ln(1 + x) = 2 atanh r and x = 2r / (1 - r) with r = x / (2 + x).
        var r = x / (2 + x);
        var square = r * r;
        var term = r;
        var sum = 0.0;
        for (var k = 3; ; k += 2)
        {
            term *= square;
            var next = sum + (term / k);
            if (next == sum)
            {
                break;
            }

            sum = next;
        }

        return 2 * ((square / (1 - r)) - sum);
    }

    /// <summary>ln Γ(z) less its leading Stirling terms (z − ½) ln z − z + ½ ln 2π, for z at least 10.</summary>
    public static double StirlingRemainder(double z)
    {
        var inverse = 1 / z;
        var square = inverse * inverse;
        var sum = 0.0;
        for (var k = s_stirling.Length - 1; k >= 0; k--)
        {
            sum = (sum * square) + s_stirling[k];
        }

        return sum * inverse;
    }

    /// <summary>ln Γ(z) for z above zero; absolute error a few times 10⁻¹⁵ below z = 20. ln Γ(½) = ½ ln π.</summary>
    public static double LogGamma(double z)
    {
        var product = 1.0;
        while (z < 10)
        {
            product *= z;
            z++;
        }

        return ((z - 0.5) * Math.Log(z)) - z + LogRootTwoPi + StirlingRemainder(z) - Math.Log(product);
    }

    /// <summary>ln Γ(b + a) − ln Γ(b) for b at least 10, without subtracting two large logarithms.</summary>
    public static double LogGammaRise(double b, double a) =>
        ((b - 0.5) * LogOnePlus(a / b)) + (a * Math.Log(a + b)) - a + StirlingRemainder(a + b) - StirlingRemainder(b);
}
