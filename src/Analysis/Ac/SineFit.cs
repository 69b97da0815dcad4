using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.Ac;

/// <summary>Best sine through samples: amplitude, phase, offset and, with four parameters, frequency.</summary>
/// <remarks>
/// IEEE Std 1057, sine-wave fits with known and with unknown frequency (from memory: check your copy). y = A·cos(2πft + φ) + C.
/// Uncertainties from the residual scatter, which for a distorted wave holds the harmonics too and is then too pessimistic for
/// amplitude and no guide for frequency: compare with the zero crossings. Worked: 100 V at 60.01 Hz, 2000 samples at 10 kHz
/// with 1 V of white noise give u(f) = √6·σ·f_s/(π·A·N^1.5) = 0.00087 Hz.
/// </remarks>
public sealed record SineFit(
    Estimate FrequencyHertz,
    Estimate Amplitude,
    Estimate PhaseRadians,
    Estimate Offset,
    double ResidualStandardDeviation,
    string Method
)
{
    /// <summary>Frequency, Hz; with three parameters as given, uncertainty zero.</summary>
    public Estimate FrequencyHertz { get; } = FrequencyHertz;

    /// <summary>Peak amplitude, in the unit of the samples.</summary>
    public Estimate Amplitude { get; } = Amplitude;

    /// <summary>φ of A·cos(2πft + φ) with t from the first sample, −π to π.</summary>
    public Estimate PhaseRadians { get; } = PhaseRadians;

    /// <summary>Mean of the sine, in the unit of the samples.</summary>
    public Estimate Offset { get; } = Offset;

    /// <summary>Scatter of the samples about the sine.</summary>
    public double ResidualStandardDeviation { get; } = ResidualStandardDeviation;

    /// <summary>Name of the method.</summary>
    public string Method { get; } = Method;

    /// <summary>Amplitude, phase and offset at a frequency that is known.</summary>
    /// <param name="samples">Evenly spaced samples, at least one cycle of them.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    /// <param name="frequencyHertz">The known frequency.</param>
    public static SineFit ThreeParameters(ReadOnlySpan<double> samples, double samplesPerSecond, double frequencyHertz)
    {
        var fit = HarmonicFit.Of(samples, samplesPerSecond, frequencyHertz, 1);
        var fundamental = fit.Orders[0];
        var amplitude = fundamental.Amplitude;
        var middle = 0.5 * (samples.Length - 1) / samplesPerSecond;
        var phase = Wrapped(fundamental.PhaseRadians - 2 * Math.PI * frequencyHertz * middle);
        return new SineFit(
            new Estimate(frequencyHertz, 0),
            amplitude,
            new Estimate(phase, Angle(amplitude), amplitude.DegreesOfFreedom),
            fit.Mean,
            fit.ResidualStandardDeviation,
            "sine fit, three parameters"
        );
    }

    /// <summary>Frequency as well, by nonlinear least squares from a starting frequency.</summary>
    /// <param name="samples">Evenly spaced samples, at least two cycles of them.</param>
    /// <param name="samplesPerSecond">Sampling rate.</param>
    /// <param name="startHertz">Where to start; null to take the zero crossings.</param>
    /// <exception cref="ArgumentException">Too few samples or crossings.</exception>
    /// <exception cref="ArithmeticException">No sine was found; the message says why.</exception>
    public static SineFit FourParameters(
        ReadOnlySpan<double> samples,
        double samplesPerSecond,
        double? startHertz = null
    )
    {
        Given.Values("A sine fit of four parameters", samples, 8);
        var start = startHertz ?? ZeroCrossings.Of(samples, samplesPerSecond).FrequencyHertz.Value;
        var first = HarmonicFit.Of(samples, samplesPerSecond, start, 1);
        var harmonic = first.Orders[0];
        var middle = 0.5 * (samples.Length - 1) / samplesPerSecond;
        var times = new double[samples.Length];
        for (var i = 0; i < times.Length; i++)
        {
            times[i] = i / samplesPerSecond - middle;
        }

        var (sin, cos) = Math.SinCos(harmonic.PhaseRadians);
        double[] guess = [harmonic.Amplitude.Value * cos, -harmonic.Amplitude.Value * sin, first.Mean.Value, start];
        var fit = NonlinearFit.Fit(Sine, times, samples, guess, new NonlinearOptions { Descents = 1 });
        return fit.Parameters is { } found ? Of(fit, found, middle) : throw new ArithmeticException(fit.CannotSay);
    }

    private static SineFit Of(NonlinearFit fit, IReadOnlyList<Estimate> found, double middle)
    {
        var (a, b, f) = (found[0].Value, found[1].Value, found[3]);
        var square = a * a + b * b;
        var size = Math.Sqrt(square);
        var variance =
            (a * a * fit.Covariance(0, 0) + b * b * fit.Covariance(1, 1) + 2 * a * b * fit.Covariance(0, 1)) / square;
        var turn =
            (b * b * fit.Covariance(0, 0) + a * a * fit.Covariance(1, 1) - 2 * a * b * fit.Covariance(0, 1))
            / (square * square);
        var swing = 2 * Math.PI * middle;
        // φ at the middle does not depend on f; φ at the first sample does, by 2π times the way there.
        var phaseVariance = turn + swing * swing * f.StandardUncertainty * f.StandardUncertainty;
        var freedom = f.DegreesOfFreedom;
        return new SineFit(
            f,
            new Estimate(size, Math.Sqrt(variance), freedom),
            new Estimate(Wrapped(Math.Atan2(-b, a) - swing * f.Value), Math.Sqrt(phaseVariance), freedom),
            found[2],
            fit.ResidualStandardDeviation,
            "sine fit, four parameters"
        );
    }

    private static double Sine(ReadOnlySpan<double> x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        var turn = 2 * Math.PI * x[0];
        var (sin, cos) = Math.SinCos(turn * p[3]);
        if (!gradient.IsEmpty)
        {
            gradient[0] = cos;
            gradient[1] = sin;
            gradient[2] = 1;
            gradient[3] = turn * (p[1] * cos - p[0] * sin);
        }

        return p[0] * cos + p[1] * sin + p[2];
    }

    private static double Angle(Estimate amplitude) =>
        amplitude.Value > 0 ? amplitude.StandardUncertainty / amplitude.Value : Math.PI / Math.Sqrt(3);

    private static double Wrapped(double angle) => Math.IEEERemainder(angle, 2 * Math.PI);
}
