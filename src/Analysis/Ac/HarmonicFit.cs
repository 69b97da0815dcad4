using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.Ac;

/// <summary>Mean and harmonics of a periodic waveform of known frequency, by linear least squares.</summary>
/// <remarks>
/// y = c + Σ(a_k·cos kωt + b_k·sin kωt): the three-parameter fit of IEEE Std 1057 with more orders (from memory: check
/// your copy). Unlike a Fourier transform it needs no whole number of cycles. Uncertainties from the residual scatter,
/// JCGM 100:2008, H.3. Worked: an ideal six-pulse bridge has order 6 at 2/35 of its mean.
/// </remarks>
public sealed class HarmonicFit
{
    private HarmonicFit(double frequency, Estimate mean, Harmonic[] orders, double residual, int count)
    {
        FrequencyHertz = frequency;
        Mean = mean;
        Orders = orders;
        ResidualStandardDeviation = residual;
        Count = count;
    }

    /// <summary>Frequency of order 1, Hz.</summary>
    public double FrequencyHertz { get; }

    /// <summary>Mean of the fitted waveform, in the unit of the samples.</summary>
    public Estimate Mean { get; }

    /// <summary>Orders 1 and up.</summary>
    public IReadOnlyList<Harmonic> Orders { get; }

    /// <summary>Scatter left over, in the unit of the samples.</summary>
    public double ResidualStandardDeviation { get; }

    /// <summary>Number of samples.</summary>
    public int Count { get; }

    /// <summary>Fits mean and orders 1 to <paramref name="highestOrder"/>.</summary>
    /// <param name="samples">Evenly spaced samples, at least one cycle of them.</param>
    /// <param name="samplesPerSecond">Sampling rate, above twice the highest order's frequency.</param>
    /// <param name="frequencyHertz">Frequency of order 1.</param>
    /// <param name="highestOrder">1 or more.</param>
    /// <exception cref="ArgumentException">Too few samples, less than a cycle, or orders above half the sampling rate.</exception>
    public static HarmonicFit Of(
        ReadOnlySpan<double> samples,
        double samplesPerSecond,
        double frequencyHertz,
        int highestOrder
    )
    {
        Given.Positive("Sampling rate", samplesPerSecond, "samples/s");
        Given.Positive("Frequency", frequencyHertz, "Hz");
        ArgumentOutOfRangeException.ThrowIfLessThan(highestOrder, 1);
        var p = 2 * highestOrder + 1;
        Given.Values($"A fit of {highestOrder} orders", samples, p + 1);
        CheckWindow(samples.Length, samplesPerSecond, frequencyHertz, highestOrder);

        var n = samples.Length;
        var columns = Columns(n, 2 * Math.PI * frequencyHertz / samplesPerSecond, highestOrder);
        var covariance = ParameterCovariance.Of(columns, n, p);
        var rotated = samples.ToArray();
        SmallQr.Factor(columns, rotated, n, p);
        var residual = SmallQr.Norm(rotated.AsSpan(p)) / Math.Sqrt(n - p);
        SmallQr.Back(columns, n, rotated, p);
        var orders = new Harmonic[highestOrder];
        for (var k = 1; k <= highestOrder; k++)
        {
            orders[k - 1] = HarmonicOf(k, rotated, covariance, residual, n - p);
        }

        var mean = new Estimate(rotated[0], residual * Math.Sqrt(covariance[0, 0]), n - p);
        return new HarmonicFit(frequencyHertz, mean, orders, residual, n);
    }

    private static void CheckWindow(int count, double rate, double frequency, int highestOrder)
    {
        var cycles = count * frequency / rate;
        if (cycles < 1)
        {
            throw new ArgumentException(
                $"The window holds {Figures.Of(cycles, 3)} cycles of {Figures.With(frequency, "Hz", 5)}. Sample at least one cycle, better ten."
            );
        }

        if (highestOrder * frequency >= 0.5 * rate)
        {
            throw new ArgumentException(
                $"Order {highestOrder} of {Figures.With(frequency, "Hz", 5)} is not below half of {Figures.Of(rate, 6)} samples/s. "
                    + $"Sample faster, or ask for no more than order {Math.Ceiling(0.5 * rate / frequency) - 1}."
            );
        }
    }

    private static double[] Columns(int n, double step, int highestOrder)
    {
        var columns = new double[n * (2 * highestOrder + 1)];
        columns.AsSpan(0, n).Fill(1);
        for (var i = 0; i < n; i++)
        {
            // From the middle of the window, which keeps phase and frequency apart.
            var angle = step * (i - 0.5 * (n - 1));
            for (var k = 1; k <= highestOrder; k++)
            {
                var (sin, cos) = Math.SinCos(k * angle);
                columns[(2 * k - 1) * n + i] = cos;
                columns[2 * k * n + i] = sin;
            }
        }

        return columns;
    }

    private static Harmonic HarmonicOf(
        int k,
        double[] solved,
        ParameterCovariance covariance,
        double residual,
        int freedom
    )
    {
        var (c, s) = (2 * k - 1, 2 * k);
        var (a, b) = (solved[c], solved[s]);
        var amplitude = Math.Sqrt(a * a + b * b);
        var plain = 0.5 * (covariance[c, c] + covariance[s, s]);
        var along = a * a * covariance[c, c] + b * b * covariance[s, s] + 2 * a * b * covariance[c, s];
        var variance = amplitude > 0 ? along / (amplitude * amplitude) : plain;
        return new Harmonic(k, new Estimate(amplitude, residual * Math.Sqrt(variance), freedom), Math.Atan2(-b, a));
    }
}
