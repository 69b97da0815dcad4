namespace LoadTest.Analysis.Numerics;

/// <summary>Inverts a probability over the positive axis, in logarithms so that far tails keep their digits.</summary>
internal static class PositiveQuantile
{
    /// <summary>x above zero at which the probability equals the target.</summary>
    /// <param name="law">Probability and density at x; the probability rises with x, or falls when <paramref name="falling"/>.</param>
    /// <param name="target">Wanted probability, above 0 and below 1.</param>
    /// <param name="falling">True for an upper-tail probability.</param>
    /// <param name="logStart">ln of the first guess.</param>
    /// <remarks>Newton on ln x against ln probability, kept inside a bracket that only shrinks.</remarks>
    public static double Solve(
        Func<double, (double Probability, double Density)> law,
        double target,
        bool falling,
        double logStart
    )
    {
        var low = -745.0;
        var high = 709.0;
        var logTarget = Math.Log(target);
        var u = Math.Clamp(logStart, -700, 700);
        for (var step = 0; step < 200; step++)
        {
            var x = Math.Exp(u);
            var (probability, density) = law(x);
            var excess = probability > 0 ? Math.Log(probability) - logTarget : double.NegativeInfinity;
            if (falling == (excess > 0))
            {
                low = u;
            }
            else
            {
                high = u;
            }

            var newton = excess / (density * x / probability * (falling ? -1 : 1));
            if (Math.Abs(newton) <= 4e-16 * Math.Max(1, Math.Abs(u)))
            {
                return Math.Exp(u - newton);
            }

            var next = u - newton;
            if (!double.IsFinite(next) || next <= low || next >= high)
            {
                next = 0.5 * (low + high);
            }

            if (next == u)
            {
                break;
            }

            u = next;
        }

        return Math.Exp(u);
    }
}
