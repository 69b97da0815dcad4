namespace LoadTest.Analysis.VoltAmp;

/// <summary>One named number read from a volt-amp curve.</summary>
/// <param name="Name">What it is, in the trade's words.</param>
/// <param name="Value">Value, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Unit symbol.</param>
/// <param name="StandardUncertainty">Standard uncertainty in the same unit; null when the data cannot say.</param>
/// <param name="DegreesOfFreedom">Degrees of freedom of the uncertainty; infinity when it rests on stated uncertainties.</param>
/// <param name="IsExtrapolated">True when it lies outside what was measured.</param>
/// <param name="Note">Condition or definition that belongs to the number; empty when none.</param>
public sealed record CurveResult(
    string Name,
    double Value,
    string Unit,
    double? StandardUncertainty,
    double DegreesOfFreedom,
    bool IsExtrapolated,
    string Note = ""
)
{
    /// <summary>Result from an estimate.</summary>
    internal static CurveResult Of(string name, Estimate estimate, string unit, bool extrapolated, string note = "") =>
        new(name, estimate.Value, unit, estimate.StandardUncertainty, estimate.DegreesOfFreedom, extrapolated, note);
}
