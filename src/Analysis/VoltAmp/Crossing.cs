namespace LoadTest.Analysis.VoltAmp;

/// <summary>Where a curve meets a line, with both coordinates' uncertainties.</summary>
/// <param name="Amperes">Current, A.</param>
/// <param name="Volts">Voltage, V.</param>
/// <param name="Covariance">Covariance of current and voltage, V·A.</param>
/// <param name="IsExtrapolated">Whether the point lies outside what was measured.</param>
internal readonly record struct Crossing(Estimate Amperes, Estimate Volts, double Covariance, bool IsExtrapolated)
{
    /// <summary>Output power I · V, W.</summary>
    public Estimate Power
    {
        get
        {
            var (i, v) = (Amperes.Value, Volts.Value);
            var (ui, uv) = (Amperes.StandardUncertainty, Volts.StandardUncertainty);
            var variance = (v * v * ui * ui) + (i * i * uv * uv) + (2 * i * v * Covariance);
            return new Estimate(i * v, Math.Sqrt(Math.Max(0, variance)), Amperes.DegreesOfFreedom);
        }
    }
}
