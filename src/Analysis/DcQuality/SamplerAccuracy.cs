namespace LoadTest.Analysis.DcQuality;

/// <summary>Standard uncertainties of what sampled a waveform.</summary>
/// <param name="RelativeGain">Relative, of the gain; 0.001 for 0.1 %.</param>
/// <param name="Offset">Of the zero, in the unit of the samples.</param>
public readonly record struct SamplerAccuracy(double RelativeGain, double Offset);
