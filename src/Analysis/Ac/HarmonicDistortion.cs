namespace LoadTest.Analysis.Ac;

/// <summary>Total harmonic distortion: the harmonics' rms over the fundamental's.</summary>
/// <remarks>
/// IEC definition, to the fundamental and so possibly above 1 (IEC 60050-551, 551-20-13; from memory: check your copy).
/// Orders 2 to 40 unless asked otherwise. Noise adds to every order: below about √(highest order)·u(A)/A₁ the figure is an
/// upper bound. Worked: an ideal square wave to order 39 has 0.4712, with every order 0.4834.
/// </remarks>
public sealed record HarmonicDistortion(Estimate Total, HarmonicFit Fit)
{
    /// <summary>Highest order of the usual figure.</summary>
    public const int UsualOrder = 40;

    /// <summary>THD as a ratio: 0.05 is 5 %.</summary>
    public Estimate Total { get; } = Total;

    /// <summary>The orders it was made of.</summary>
    public HarmonicFit Fit { get; } = Fit;

    /// <summary>Distortion of a window.</summary>
    /// <param name="samples">Evenly spaced samples, ten cycles or more for a steady figure.</param>
    /// <param name="samplesPerSecond">Sampling rate, above twice the highest order's frequency.</param>
    /// <param name="frequencyHertz">Frequency of the fundamental.</param>
    /// <param name="highestOrder">Highest order counted, 2 or more.</param>
    /// <exception cref="ArithmeticException">There is no fundamental to relate to.</exception>
    public static HarmonicDistortion Of(
        ReadOnlySpan<double> samples,
        double samplesPerSecond,
        double frequencyHertz,
        int highestOrder = UsualOrder
    )
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(highestOrder, 2);
        var fit = HarmonicFit.Of(samples, samplesPerSecond, frequencyHertz, highestOrder);
        var fundamental = fit.Orders[0].Amplitude;
        if (!(fundamental.Value > 3 * fundamental.StandardUncertainty) || fundamental.Value == 0)
        {
            throw new ArithmeticException(
                $"The fundamental at {Figures.With(frequencyHertz, "Hz", 5)} is {Figures.Of(fundamental.Value, 3)}, not above its noise. "
                    + "Check the frequency and that the output is on."
            );
        }

        double squares = 0;
        double variance = 0;
        for (var k = 1; k < fit.Orders.Count; k++)
        {
            var amplitude = fit.Orders[k].Amplitude;
            squares += amplitude.Value * amplitude.Value;
            var part = amplitude.Value * amplitude.StandardUncertainty;
            variance += part * part;
        }

        var harmonics = Math.Sqrt(squares);
        var freedom = fundamental.DegreesOfFreedom;
        // With no harmonics to speak of the noise of one order stands for the whole.
        var u = harmonics > 0 ? Math.Sqrt(variance) / harmonics : fundamental.StandardUncertainty;
        return new HarmonicDistortion(Combined.Ratio(new Estimate(harmonics, u, freedom), fundamental), fit);
    }
}
