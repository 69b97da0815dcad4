namespace LoadTest.Analysis;

/// <summary>A value with its standard uncertainty and the degrees of freedom behind that uncertainty.</summary>
/// <param name="Value">Best estimate, in the unit of the measurand.</param>
/// <param name="StandardUncertainty">Standard uncertainty u, same unit, zero or positive.</param>
/// <param name="DegreesOfFreedom">Effective degrees of freedom of u; positive infinity when u is taken as exactly known.</param>
/// <remarks>JCGM 100:2008, 2.3.1 and G.4. Whoever builds one refuses NaN: a missing value is null, never NaN.</remarks>
public readonly record struct Estimate(
    double Value,
    double StandardUncertainty,
    double DegreesOfFreedom = double.PositiveInfinity
)
{
    /// <summary>Relative standard uncertainty u/|value|; positive infinity at value zero.</summary>
    public double Relative => Value == 0 ? double.PositiveInfinity : StandardUncertainty / Math.Abs(Value);
}
