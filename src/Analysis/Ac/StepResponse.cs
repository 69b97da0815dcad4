namespace LoadTest.Analysis.Ac;

/// <summary>Dip, overshoot and recovery of voltage or frequency after a load step.</summary>
/// <param name="Before">Mean before the step.</param>
/// <param name="Settled">Mean of the last fifth of the series, taken as the new steady value.</param>
/// <param name="Dip">Lowest value after the step less the reference, over the rated value; zero or negative.</param>
/// <param name="Overshoot">Highest value after the step less the reference, over the rated value; zero or positive.</param>
/// <param name="RecoverySeconds">From the step until the series is in the band around the settled value for good; null when not.</param>
/// <remarks>
/// ISO 8528-5 relates transient voltage to the rated value and transient frequency to the value before the step, both over the
/// rated value, and counts recovery until the steady-state band is kept (from memory: check your copy). Worked: 120 V rated,
/// 120 V before, lowest 102 V: dip −0.15.
/// </remarks>
public sealed record StepResponse(
    Estimate Before,
    Estimate Settled,
    Estimate Dip,
    Estimate Overshoot,
    Estimate? RecoverySeconds
)
{
    /// <summary>Response of a series to a step at a known moment.</summary>
    /// <param name="seconds">Moments of the values, rising.</param>
    /// <param name="values">Voltage or frequency, one for each moment.</param>
    /// <param name="stepSeconds">Moment of the step, with at least three values before it and five after.</param>
    /// <param name="rated">Rated value, above zero.</param>
    /// <param name="band">Half-width of the steady band over the rated value, as 0.025.</param>
    /// <param name="reference">What dip and overshoot are counted from.</param>
    /// <param name="readingUncertainty">Standard uncertainty of one value, same unit.</param>
    public static StepResponse Of(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> values,
        double stepSeconds,
        double rated,
        double band,
        StepReference reference,
        double readingUncertainty = 0
    )
    {
        Check(seconds, values, stepSeconds);
        Given.Positive("Rated value", rated, "");
        Given.Positive("Steady band", band, "");
        Given.NotNegative("Uncertainty of a value", readingUncertainty, "");
        var first = FirstAfter(seconds, stepSeconds);
        var after = values[first..];
        if (first < 3 || after.Length < 5)
        {
            throw new ArgumentException(
                $"{first} values stand before the step at {Figures.Of(stepSeconds, 5)} s and {after.Length} after it. "
                    + "At least 3 and 5 are needed."
            );
        }

        var before = MeanOf(values[..first], readingUncertainty);
        var settled = MeanOf(after[^Math.Max(3, after.Length / 5)..], readingUncertainty);
        var from = reference switch
        {
            StepReference.Rated => new Estimate(rated, 0),
            StepReference.AfterStep => settled,
            _ => before,
        };
        var (least, most) = (from.Value, from.Value);
        foreach (var value in after)
        {
            least = Math.Min(least, value);
            most = Math.Max(most, value);
        }

        var lasting = LastOutside(after, settled.Value, band * rated);
        return new StepResponse(
            before,
            settled,
            Relative(least, from, rated, readingUncertainty),
            Relative(most, from, rated, readingUncertainty),
            Recovery(seconds[first..], after, lasting, settled.Value, band * rated, stepSeconds)
        );
    }

    private static Estimate? Recovery(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> values,
        int lasting,
        double settled,
        double width,
        double step
    )
    {
        if (lasting < 0)
        {
            return new Estimate(0, 0);
        }

        // The last fifth made the settled value; a series that leaves the band within it has not settled.
        if (lasting >= values.Length - Math.Max(3, values.Length / 5))
        {
            return null;
        }

        var edge = values[lasting] > settled ? settled + width : settled - width;
        var part = (edge - values[lasting]) / (values[lasting + 1] - values[lasting]);
        var spacing = seconds[lasting + 1] - seconds[lasting];
        // Each value stands for the time since the one before: a rectangle of one spacing (JCGM 100:2008, 4.3.7).
        return new Estimate(seconds[lasting] + part * spacing - step, spacing / Math.Sqrt(12));
    }

    private static int LastOutside(ReadOnlySpan<double> values, double settled, double width)
    {
        for (var k = values.Length - 1; k >= 0; k--)
        {
            if (Math.Abs(values[k] - settled) > width)
            {
                return k;
            }
        }

        return -1;
    }

    private static Estimate Relative(double value, Estimate from, double rated, double uncertainty) =>
        Combined.Of((value - from.Value) / rated, [(new Estimate(value, uncertainty), 1 / rated), (from, 1 / rated)]);

    private static Estimate MeanOf(ReadOnlySpan<double> values, double uncertainty)
    {
        double sum = 0;
        foreach (var value in values)
        {
            sum += value;
        }

        var mean = sum / values.Length;
        double squares = 0;
        foreach (var value in values)
        {
            squares += (value - mean) * (value - mean);
        }

        var freedom = values.Length - 1;
        var scatter = new Estimate(mean, Math.Sqrt(squares / freedom / values.Length), freedom);
        // One meter took all the values: its error does not average out.
        return Combined.Of(mean, [(scatter, 1), (new Estimate(mean, uncertainty), 1)]);
    }

    private static int FirstAfter(ReadOnlySpan<double> seconds, double step)
    {
        var first = 0;
        while (first < seconds.Length && seconds[first] <= step)
        {
            first++;
        }

        return first;
    }

    private static void Check(ReadOnlySpan<double> seconds, ReadOnlySpan<double> values, double stepSeconds)
    {
        Given.Values("Moments", seconds, 8);
        Given.Values("Values", values, 8);
        Given.SameLength("Values", values.Length, seconds.Length);
        Given.Finite("Moment of the step", stepSeconds, "s");
        for (var k = 1; k < seconds.Length; k++)
        {
            if (seconds[k] <= seconds[k - 1])
            {
                throw new ArgumentException(
                    $"Moment {k + 1} is {Figures.Of(seconds[k], 6)} s, not after {Figures.Of(seconds[k - 1], 6)} s. Give them in order."
                );
            }
        }
    }
}
