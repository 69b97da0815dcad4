using System.Numerics;

namespace LoadTest.Analysis.DcQuality;

/// <summary>Amplitudes over frequency of a sampled waveform, its mean taken off.</summary>
/// <param name="HertzPerLine">Distance between two lines.</param>
/// <param name="Amplitudes">Peak amplitude at line k, that is at k times that distance.</param>
/// <remarks>
/// Discrete Fourier transform under a Hann window, amplitudes divided by the window's mean of one half (Harris 1978). Between
/// two lines an amplitude reads up to 15 % low; for orders of a known frequency take <see cref="Ac.HarmonicFit"/>.
/// Worked: 3 V at 360 Hz in one second of samples: 3 V at line 360.
/// </remarks>
public sealed record Spectrum(double HertzPerLine, IReadOnlyList<double> Amplitudes)
{
    /// <summary>Frequency of the largest line, Hz; null when every line is zero.</summary>
    public double? DominantHertz
    {
        get
        {
            var best = 0;
            for (var k = 1; k < Amplitudes.Count; k++)
            {
                best = Amplitudes[k] > Amplitudes[best] ? k : best;
            }

            return Amplitudes[best] > 0 ? best * HertzPerLine : null;
        }
    }

    /// <summary>Spectrum of a window of any length from 16 samples up.</summary>
    /// <param name="samples">Evenly spaced samples.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    public static Spectrum Of(ReadOnlySpan<double> samples, double samplesPerSecond)
    {
        Given.Positive("Sampling rate", samplesPerSecond, "samples/s");
        Given.Values("A waveform", samples, 16);
        var n = samples.Length;
        double sum = 0;
        foreach (var sample in samples)
        {
            sum += sample;
        }

        var mean = sum / n;
        var windowed = new Complex[n];
        for (var i = 0; i < n; i++)
        {
            windowed[i] = (samples[i] - mean) * 0.5 * (1 - Math.Cos(2 * Math.PI * i / n));
        }

        var lines = FourierTransform.Of(windowed);
        var amplitudes = new double[n / 2 + 1];
        for (var k = 1; k < amplitudes.Length; k++)
        {
            // Twice for the mirrored half, but not at half the sampling rate, which is its own mirror; twice for the window.
            var mirrored = 2 * k == n ? 1 : 2;
            amplitudes[k] = 2 * mirrored * lines[k].Magnitude / n;
        }

        return new Spectrum(samplesPerSecond / n, amplitudes);
    }
}
