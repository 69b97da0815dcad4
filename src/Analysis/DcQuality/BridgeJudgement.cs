using LoadTest.Analysis.Ac;

namespace LoadTest.Analysis.DcQuality;

/// <summary>Tells one open diode from one lost phase by where the ripple of a six-pulse bridge lies.</summary>
/// <remarks>
/// Ideal bridge into a resistance, amplitudes over the mean (computed from the waveforms): complete 0, 0, 0.0571 at one, two and
/// six times the line frequency; one diode open 0.3628, 0.2667, 0.0571 with 5/6 of the mean; one phase lost 0, 0.6667, 0.0571
/// with 2/3 of the mean. Limits lie half way; the way of judging is common practice, no source. Behind a regulated output stage
/// both faults show as a lost ceiling voltage instead, which this cannot see.
/// </remarks>
public static class BridgeJudgement
{
    private const double OpenDiodeAtLine = 0.3628;
    private const double LostPhaseAtTwice = 0.6667;
    private const double TwoOpenAtLine = 0.785;
    private const double CompleteAtSix = 0.0571;
    private const double SmoothRipple = 0.01;

    /// <summary>Judges a bridge from its sampled output.</summary>
    /// <param name="samples">Evenly spaced samples of the output voltage, whole cycles or not, ten cycles for a steady figure.</param>
    /// <param name="samplesPerSecond">Sampling rate, above twelve times the line frequency.</param>
    /// <param name="lineHertz">Frequency of the alternator that feeds the bridge.</param>
    /// <param name="expectedMean">Mean a complete bridge would give, V; null when it is not known.</param>
    public static BridgeFinding Of(
        ReadOnlySpan<double> samples,
        double samplesPerSecond,
        double lineHertz,
        Estimate? expectedMean = null
    )
    {
        var fit = HarmonicFit.Of(samples, samplesPerSecond, lineHertz, 6);
        if (!(Math.Abs(fit.Mean.Value) > 3 * fit.Mean.StandardUncertainty) || fit.Mean.Value == 0)
        {
            throw new ArithmeticException(
                $"The mean is {Figures.Of(fit.Mean.Value, 4)} V: too little to judge a bridge by. Take the reading with the output on."
            );
        }

        var mean = fit.Mean with { Value = Math.Abs(fit.Mean.Value) };
        var (one, two, six) = (Part(fit, 1, mean), Part(fit, 2, mean), Part(fit, 6, mean));
        var part = expectedMean is { } expected ? PartOf(mean, expected) : (Estimate?)null;
        var state = StateOf(one, two, six);
        return new BridgeFinding(state, one, two, six, part, Words(state, one, two, six, part));
    }

    private static BridgeState StateOf(Estimate one, Estimate two, Estimate six)
    {
        if (one.Value > 0.5 * (OpenDiodeAtLine + TwoOpenAtLine))
        {
            return BridgeState.MoreThanOneOpen;
        }

        if (one.Value > 0.5 * OpenDiodeAtLine)
        {
            return BridgeState.DiodeOpen;
        }

        if (two.Value > 0.5 * LostPhaseAtTwice)
        {
            return BridgeState.PhaseLost;
        }

        var isSmooth = one.Value < SmoothRipple && two.Value < SmoothRipple && six.Value < SmoothRipple;
        if (isSmooth)
        {
            return BridgeState.TooSmooth;
        }

        return six.Value > 0.5 * CompleteAtSix && six.Value > one.Value && six.Value > two.Value
            ? BridgeState.Complete
            : BridgeState.Unlike;
    }

    private static string Words(BridgeState state, Estimate one, Estimate two, Estimate six, Estimate? part)
    {
        var amplitudes =
            $"Ripple over the mean: {one.Value:P1} at line frequency, {two.Value:P1} at twice, {six.Value:P1} at six times.";
        var mean = part is { } p ? $" The mean is {p.Value:P0} of a complete bridge's." : "";
        var verdict = state switch
        {
            BridgeState.Complete => "The bridge conducts on all six.",
            BridgeState.DiodeOpen => "As with one diode open (36 % at line frequency, mean 5/6).",
            BridgeState.PhaseLost => "As with one phase lost (67 % at twice the line frequency, mean 2/3).",
            BridgeState.MoreThanOneOpen => "More than one diode does not conduct.",
            BridgeState.TooSmooth =>
                "Too smooth to tell: behind a regulated stage or a capacitor look for a lost ceiling voltage.",
            _ =>
                "Like neither a complete bridge, one open diode, nor a lost phase; check line unbalance and the sense leads.",
        };
        return $"{amplitudes}{mean} {verdict}";
    }

    private static Estimate PartOf(Estimate mean, Estimate expected)
    {
        Given.Estimate("Expected mean", expected, "V");
        Given.Positive("Expected mean", expected.Value, "V");
        return Combined.Ratio(mean, expected);
    }

    private static Estimate Part(HarmonicFit fit, int order, Estimate mean) =>
        Combined.Ratio(fit.Orders[order - 1].Amplitude, mean);
}
