using LoadTest.Analysis;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Records.Measuring;

/// <summary>One averaged quantity of a point with its budget.</summary>
/// <param name="Budget">Budget, in V or A; its combined estimate is the result.</param>
/// <param name="Window">The averaged readings behind it, as the meter showed them.</param>
/// <param name="Scatter">Part of the standard uncertainty that is the meter's scatter and resolution alone, same unit.</param>
public sealed record Measured(Budget Budget, WindowMean Window, double Scatter)
{
    /// <summary>The result with its standard uncertainty.</summary>
    public Estimate Estimate => Budget.Combined;

    /// <summary>Whether a line differs from point to point: scatter and last digit, not what a meter or a shunt does to all of them.</summary>
    public static bool IsOwn(UncertaintyInput line) =>
        line.Component is Component.Repeatability or Component.Resolution;

    /// <summary>Part of the standard uncertainty that is common to all points of these meters, same unit.</summary>
    public double Common =>
        Math.Sqrt(Math.Max(0, Estimate.StandardUncertainty * Estimate.StandardUncertainty - Scatter * Scatter));
}
