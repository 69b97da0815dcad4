namespace LoadTest.Analysis.Regression;

/// <summary>A range of values with the probability it claims to cover.</summary>
/// <param name="Lower">Lower end, in the unit of the quantity.</param>
/// <param name="Upper">Upper end, same unit, not below <paramref name="Lower"/>.</param>
/// <param name="Coverage">Coverage probability, above 0 and below 1.</param>
public readonly record struct Interval(double Lower, double Upper, double Coverage)
{
    /// <summary>Half the width of the range, same unit.</summary>
    public double HalfWidth => 0.5 * (Upper - Lower);

    /// <summary>Whether a value lies inside, the ends included; false for NaN.</summary>
    public bool Contains(double value) => Lower <= value && value <= Upper;

    /// <summary>Symmetric interval around an estimate, from Student's t at its degrees of freedom.</summary>
    /// <exception cref="ArgumentException">A number of the estimate is not finite or out of its range, or the coverage is.</exception>
    public static Interval Around(Estimate estimate, double coverage)
    {
        Given.Estimate("Interval", estimate, "");
        var half = Numerics.StudentT.TwoSided(coverage, estimate.DegreesOfFreedom) * estimate.StandardUncertainty;
        return new Interval(estimate.Value - half, estimate.Value + half, coverage);
    }
}
