namespace LoadTest.Analysis.Ac;

/// <summary>Root mean square of a periodic waveform over whole cycles.</summary>
/// <param name="Rms">√ of the mean square, mean included, in the unit of the samples.</param>
/// <param name="Mean">Mean over the same cycles.</param>
/// <param name="Peak">Largest magnitude.</param>
/// <param name="Cycles">Whole cycles used.</param>
/// <remarks>
/// Uncertainty: scatter of the cycles over √cycles (JCGM 100:2008, 4.2.3), the gain of the sampler, and the part of a sample
/// by which the window misses whole cycles (rectangular, 4.3.7). Worked: 169.7 V peak sine is 120 V.
/// </remarks>
public sealed record RootMeanSquare(Estimate Rms, double Mean, double Peak, int Cycles)
{
    /// <summary>Peak over rms; √2 for a sine.</summary>
    public double CrestFactor => Peak / Rms.Value;

    /// <summary>Root mean square of the whole cycles in a window.</summary>
    /// <param name="samples">Evenly spaced samples, at least two cycles of them.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    /// <param name="frequencyHertz">Frequency of the waveform.</param>
    /// <param name="relativeGain">Relative standard uncertainty of the sampler's gain.</param>
    public static RootMeanSquare Of(
        ReadOnlySpan<double> samples,
        double samplesPerSecond,
        double frequencyHertz,
        double relativeGain = 0
    )
    {
        Given.Positive("Sampling rate", samplesPerSecond, "samples/s");
        Given.Positive("Frequency", frequencyHertz, "Hz");
        Given.NotNegative("Relative uncertainty of the gain", relativeGain, "");
        Given.Values("A waveform", samples, 4);
        var perCycle = samplesPerSecond / frequencyHertz;
        var cycles = (int)Math.Floor(samples.Length / perCycle + 1e-9);
        if (cycles < 2 || perCycle < 4)
        {
            throw new ArgumentException(
                $"The window holds {cycles} whole cycles of {Figures.Of(perCycle, 4)} samples. At least 2 of 4 samples are needed."
            );
        }

        var used = samples[..(int)Math.Round(cycles * perCycle)];
        var (mean, square, peak) = Moments(used);
        var rms = Math.Sqrt(square);
        var scatter = CycleScatter(used, perCycle, cycles) / Math.Sqrt(cycles);
        var crest = rms > 0 ? peak / rms : 1;
        var edge = rms * 0.25 * Math.Abs(crest * crest - 1) / used.Length / Math.Sqrt(3);
        var estimate = Combined.Of(
            rms,
            [
                (new Estimate(rms, scatter, cycles - 1), 1),
                (new Estimate(rms, edge), 1),
                (new Estimate(1, relativeGain), rms),
            ]
        );
        return new RootMeanSquare(estimate, mean, peak, cycles);
    }

    private static (double Mean, double Square, double Peak) Moments(ReadOnlySpan<double> samples)
    {
        var (sum, squares, peak) = (0.0, 0.0, 0.0);
        foreach (var sample in samples)
        {
            sum += sample;
            squares += sample * sample;
            peak = Math.Max(peak, Math.Abs(sample));
        }

        return (sum / samples.Length, squares / samples.Length, peak);
    }

    private static double CycleScatter(ReadOnlySpan<double> samples, double perCycle, int cycles)
    {
        var values = new double[cycles];
        double sum = 0;
        for (var k = 0; k < cycles; k++)
        {
            var from = (int)Math.Round(k * perCycle);
            var to = (int)Math.Round((k + 1) * perCycle);
            values[k] = Math.Sqrt(Moments(samples[from..Math.Min(to, samples.Length)]).Square);
            sum += values[k];
        }

        var mean = sum / cycles;
        double squares = 0;
        foreach (var value in values)
        {
            squares += (value - mean) * (value - mean);
        }

        return Math.Sqrt(squares / (cycles - 1));
    }
}
