using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.Ac;

/// <summary>Frequency from the moments at which a waveform rises through its mean.</summary>
/// <remarks>
/// Each moment by straight line between the two samples around it; a tenth of the peak as dead band, so that noise is not
/// counted; the period as slope of moment against number (JCGM 100:2008, H.3). Common practice, no source for the dead band.
/// Worked: 60 Hz at 10 kHz crosses every 166.667 samples.
/// </remarks>
public sealed record ZeroCrossings(Estimate FrequencyHertz, IReadOnlyList<double> Seconds)
{
    /// <summary>Frequency, Hz, with the uncertainty that the scatter of the moments gives.</summary>
    public Estimate FrequencyHertz { get; } = FrequencyHertz;

    /// <summary>Rising crossings, seconds from the first sample.</summary>
    public IReadOnlyList<double> Seconds { get; } = Seconds;

    /// <summary>Crossings and frequency of a window.</summary>
    /// <param name="samples">Evenly spaced samples with at least three rising crossings.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    /// <param name="relativeClock">Relative standard uncertainty of the sampling clock, as 5e-5.</param>
    /// <exception cref="ArgumentException">Fewer than three crossings.</exception>
    public static ZeroCrossings Of(ReadOnlySpan<double> samples, double samplesPerSecond, double relativeClock = 0)
    {
        Given.Positive("Sampling rate", samplesPerSecond, "samples/s");
        Given.NotNegative("Relative uncertainty of the clock", relativeClock, "");
        var moments = Rising(samples, samplesPerSecond);
        if (moments.Count < 3)
        {
            throw new ArgumentException(
                $"{moments.Count} rising crossings were found in {samples.Length} samples. Three are needed: sample longer."
            );
        }

        var numbers = new double[moments.Count];
        for (var k = 0; k < numbers.Length; k++)
        {
            numbers[k] = k;
        }

        var period = LineFit.Fit(numbers, moments.ToArray()).Slope;
        var frequency = Combined.Of(
            1 / period.Value,
            [(period, 1 / (period.Value * period.Value)), (new Estimate(1, relativeClock), 1 / period.Value)]
        );
        return new ZeroCrossings(frequency, moments);
    }

    /// <summary>Rising crossings of the mean, seconds from the first sample; none when the samples do not swing.</summary>
    internal static List<double> Rising(ReadOnlySpan<double> samples, double samplesPerSecond)
    {
        Given.Values("A waveform", samples, 3);
        double sum = 0;
        var (least, most) = (samples[0], samples[0]);
        foreach (var sample in samples)
        {
            sum += sample;
            least = Math.Min(least, sample);
            most = Math.Max(most, sample);
        }

        var level = sum / samples.Length;
        var dead = 0.05 * (most - least);
        var moments = new List<double>();
        var armed = false;
        var last = -1;
        for (var i = 1; i < samples.Length; i++)
        {
            if (samples[i - 1] < level && samples[i] >= level)
            {
                last = i;
            }

            if (armed && last > 0 && samples[i] > level + dead)
            {
                var rise = samples[last] - samples[last - 1];
                moments.Add((last - 1 + (level - samples[last - 1]) / rise) / samplesPerSecond);
                armed = false;
            }

            if (samples[i] < level - dead)
            {
                armed = true;
                last = -1;
            }
        }

        return moments;
    }
}
