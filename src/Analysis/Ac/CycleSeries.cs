namespace LoadTest.Analysis.Ac;

/// <summary>Root mean square and frequency of every cycle of a waveform, for what changes within seconds.</summary>
/// <param name="Seconds">End of each cycle, from the first sample.</param>
/// <param name="Rms">Root mean square of the cycle, mean included, in the unit of the samples.</param>
/// <param name="Hertz">Frequency of the cycle.</param>
/// <remarks>
/// Cycles run from one rising crossing of the mean to the next; the square is integrated by trapezia, the ends interpolated.
/// Common practice, no source. Worked: 120 V at 60 Hz sampled at 10 kHz gives 120 V and 60 Hz in every cycle.
/// </remarks>
public sealed record CycleSeries(IReadOnlyList<double> Seconds, IReadOnlyList<double> Rms, IReadOnlyList<double> Hertz)
{
    /// <summary>Cycles of a window.</summary>
    /// <param name="samples">Evenly spaced samples with at least two rising crossings.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    public static CycleSeries Of(ReadOnlySpan<double> samples, double samplesPerSecond)
    {
        Given.Positive("Sampling rate", samplesPerSecond, "samples/s");
        var moments = ZeroCrossings.Rising(samples, samplesPerSecond);
        if (moments.Count < 2)
        {
            throw new ArgumentException(
                $"{moments.Count} rising crossings were found in {samples.Length} samples. Two make a cycle: sample longer."
            );
        }

        var count = moments.Count - 1;
        var (seconds, rms, hertz) = (new double[count], new double[count], new double[count]);
        for (var k = 0; k < count; k++)
        {
            var (from, to) = (moments[k] * samplesPerSecond, moments[k + 1] * samplesPerSecond);
            seconds[k] = moments[k + 1];
            rms[k] = Math.Sqrt(SquareIntegral(samples, from, to) / (to - from));
            hertz[k] = samplesPerSecond / (to - from);
        }

        return new CycleSeries(seconds, rms, hertz);
    }

    private static double SquareIntegral(ReadOnlySpan<double> samples, double from, double to)
    {
        var first = (int)Math.Ceiling(from);
        var last = (int)Math.Floor(to);
        var sum = 0.5 * (first - from) * (Square(samples, from) + Square(samples, first));
        for (var i = first; i < last; i++)
        {
            sum += 0.5 * (samples[i] * samples[i] + samples[i + 1] * samples[i + 1]);
        }

        return sum + 0.5 * (to - last) * (Square(samples, last) + Square(samples, to));
    }

    private static double Square(ReadOnlySpan<double> samples, double at)
    {
        var i = Math.Min((int)at, samples.Length - 2);
        var value = samples[i] + (at - i) * (samples[i + 1] - samples[i]);
        return value * value;
    }
}
