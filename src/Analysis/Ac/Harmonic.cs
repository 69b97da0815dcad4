namespace LoadTest.Analysis.Ac;

/// <summary>One order of a periodic waveform.</summary>
/// <param name="Order">1 for the fundamental.</param>
/// <param name="Amplitude">Peak amplitude, in the unit of the samples.</param>
/// <param name="PhaseRadians">φ of A·cos(kωt + φ) with t from the middle of the window, −π to π.</param>
public sealed record Harmonic(int Order, Estimate Amplitude, double PhaseRadians)
{
    /// <summary>Root mean square of this order: the amplitude over √2.</summary>
    public Estimate Rms =>
        new(Amplitude.Value / Math.Sqrt(2), Amplitude.StandardUncertainty / Math.Sqrt(2), Amplitude.DegreesOfFreedom);
}
