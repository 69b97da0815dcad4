namespace LoadTest.Analysis.DcQuality;

/// <summary>Mean, alternating part and ripple factor of a direct voltage or current.</summary>
/// <param name="Mean">Mean, in the unit of the readings.</param>
/// <param name="AlternatingRms">Root mean square of what is left without the mean.</param>
/// <param name="PeakToPeak">Highest less lowest sample; null from meter readings.</param>
/// <param name="Factor">Alternating rms over mean, a ratio: 0.042 is 4.2 %.</param>
/// <param name="Method">How it was found.</param>
/// <remarks>
/// Ripple factor as rms of the alternating part over the mean: textbooks of power electronics. Worked: an ideal six-pulse
/// bridge has 0.04197, a single-phase bridge 0.4834.
/// </remarks>
public sealed record Ripple(Estimate Mean, Estimate AlternatingRms, double? PeakToPeak, Estimate Factor, string Method)
{
    /// <summary>Ripple from a sampled waveform.</summary>
    /// <param name="samples">Evenly spaced samples; whole cycles of the line when the frequency is given.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    /// <param name="lineHertz">Frequency of the alternator, to cut the window to whole cycles; null to take all samples.</param>
    /// <param name="sampler">Gain and offset uncertainty of what sampled.</param>
    /// <exception cref="ArithmeticException">The mean is not above its own uncertainty, so there is nothing to relate to.</exception>
    public static Ripple Of(
        ReadOnlySpan<double> samples,
        double samplesPerSecond,
        double? lineHertz,
        SamplerAccuracy sampler
    )
    {
        Given.Positive("Sampling rate", samplesPerSecond, "samples/s");
        Given.NotNegative("Relative uncertainty of the gain", sampler.RelativeGain, "");
        Given.NotNegative("Uncertainty of the offset", sampler.Offset, "");
        Given.Values("A waveform", samples, 16);
        var used = lineHertz is { } hertz ? WholeCycles(samples, samplesPerSecond, hertz) : samples;
        var (mean, rms, least, most) = Moments(used);
        var gain = new Estimate(1, sampler.RelativeGain);
        var edge = EdgeUncertainty(rms, used, samplesPerSecond, lineHertz is not null);
        var meanEstimate = Combined.Of(mean, [(gain, mean), (new Estimate(0, sampler.Offset), 1), (edge, 1)]);
        RequireMean(meanEstimate);
        // The gain is common to both and leaves the ratio alone; the offset moves only the mean.
        var factor = Combined.Of(
            rms / Math.Abs(mean),
            [(new Estimate(0, sampler.Offset), rms / (mean * mean)), (edge, 1 / Math.Abs(mean))]
        );
        return new Ripple(
            meanEstimate,
            Combined.Of(rms, [(gain, rms), (edge, 1)]),
            most - least,
            factor,
            lineHertz is null ? "sampled waveform" : "sampled waveform, whole cycles"
        );
    }

    /// <summary>Ripple from a direct and an alternating reading of the same terminals.</summary>
    /// <param name="direct">Reading of an averaging meter.</param>
    /// <param name="alternating">True-rms reading with the direct part blocked; zero or positive.</param>
    /// <remarks>Worked: 81.0 V with u = 0.1 V and 3.40 V with u = 0.05 V: 0.0420 with u = 0.0006.</remarks>
    public static Ripple FromMeters(Estimate direct, Estimate alternating)
    {
        Given.Estimate("Direct reading", direct, "V");
        Given.Estimate("Alternating reading", alternating, "V");
        Given.NotNegative("Alternating reading", alternating.Value, "V");
        RequireMean(direct);
        var factor = Combined.Ratio(alternating, direct with { Value = Math.Abs(direct.Value) });
        return new Ripple(direct, alternating, null, factor, "direct and alternating meter readings");
    }

    /// <summary>Samples that make whole cycles of the line, from the first on.</summary>
    internal static ReadOnlySpan<double> WholeCycles(ReadOnlySpan<double> samples, double rate, double hertz)
    {
        Given.Positive("Line frequency", hertz, "Hz");
        var perCycle = rate / hertz;
        var cycles = Math.Floor(samples.Length / perCycle + 1e-9);
        return cycles < 1 || perCycle < 16
            ? throw new ArgumentException(
                $"The window holds {Figures.Of(samples.Length / perCycle, 3)} cycles of {Figures.Of(perCycle, 4)} samples. "
                    + "At least one cycle of 16 samples is needed: sample longer or faster."
            )
            : samples[..(int)Math.Round(cycles * perCycle)];
    }

    /// <summary>What a window that ends in mid-cycle can do to mean and rms.</summary>
    /// <remarks>
    /// Cut to whole cycles it misses at most part of a sample. Uncut, a sine of n cycles moves the mean by at most √2·rms/(π·n),
    /// a rectangle (JCGM 100:2008, 4.3.7); the cycles are counted where the samples rise through their mean.
    /// </remarks>
    private static Estimate EdgeUncertainty(double rms, ReadOnlySpan<double> samples, double rate, bool isCut)
    {
        if (isCut)
        {
            return new Estimate(0, rms / samples.Length);
        }

        var cycles = Math.Max(1, Ac.ZeroCrossings.Rising(samples, rate).Count);
        return new Estimate(0, Math.Sqrt(2) * rms / (Math.PI * cycles * Math.Sqrt(3)));
    }

    private static (double Mean, double Rms, double Least, double Most) Moments(ReadOnlySpan<double> samples)
    {
        double sum = 0;
        var (least, most) = (samples[0], samples[0]);
        foreach (var sample in samples)
        {
            sum += sample;
            least = Math.Min(least, sample);
            most = Math.Max(most, sample);
        }

        var mean = sum / samples.Length;
        double squares = 0;
        foreach (var sample in samples)
        {
            squares += (sample - mean) * (sample - mean);
        }

        return (mean, Math.Sqrt(squares / samples.Length), least, most);
    }

    private static void RequireMean(Estimate mean)
    {
        if (!(Math.Abs(mean.Value) > 3 * mean.StandardUncertainty) || mean.Value == 0)
        {
            throw new ArithmeticException(
                $"The mean is {Figures.Of(mean.Value, 4)} with u = {Figures.Of(mean.StandardUncertainty, 2)}: too little to relate a ripple to. "
                    + "Take the reading with the output on."
            );
        }
    }
}
