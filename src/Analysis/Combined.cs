namespace LoadTest.Analysis;

/// <summary>Sums, differences and ratios of estimates that do not depend on one another.</summary>
/// <remarks>
/// Law of propagation, first order (JCGM 100:2008, 5.1.2), effective degrees of freedom by Welch–Satterthwaite (G.4.1).
/// Ratio of 10.0 (u 0.1) and 5.0 (u 0.1): 2 with u = 0.0447.
/// </remarks>
internal static class Combined
{
    public static Estimate Difference(Estimate left, Estimate right) =>
        Of(left.Value - right.Value, [(left, 1), (right, -1)]);

    public static Estimate Ratio(Estimate upper, Estimate lower)
    {
        var value = upper.Value / lower.Value;
        return Of(value, [(upper, 1 / lower.Value), (lower, -value / lower.Value)]);
    }

    /// <summary>A value with the uncertainty of independent inputs and the sensitivity to each.</summary>
    public static Estimate Of(double value, ReadOnlySpan<(Estimate Input, double Sensitivity)> parts)
    {
        double variance = 0;
        double spread = 0;
        foreach (var (input, sensitivity) in parts)
        {
            var part = sensitivity * input.StandardUncertainty;
            var square = part * part;
            variance += square;
            spread += square * square / input.DegreesOfFreedom;
        }

        return new Estimate(
            value,
            Math.Sqrt(variance),
            spread == 0 ? double.PositiveInfinity : variance * variance / spread
        );
    }
}
