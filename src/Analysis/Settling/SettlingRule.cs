namespace LoadTest.Analysis.Settling;

/// <summary>When readings count as settled: within a tolerance, over a time, with enough of them.</summary>
/// <remarks>
/// Settled means that no reading of the window is further from the window's mean than the tolerance, and that the
/// straight line through the window changes by no more than the tolerance from its first to its last reading. House
/// rule, common practice, no source. Worked number: 0.3 % of reading over 4 s at 300 A lets readings lie within ± 0.9 A
/// of their mean and lets the line move by at most 0.9 A in the 4 s.
/// </remarks>
public sealed record SettlingRule
{
    /// <summary>Fewest readings any rule may ask for: a line and a residual need three.</summary>
    public const int FewestReadings = 3;

    /// <summary>Largest hole between two readings, as a fraction of the window.</summary>
    public const double LargestGapFraction = 0.5;

    /// <summary>A rule from its tolerance and duration.</summary>
    /// <param name="relativeTolerance">Tolerance as a fraction of the window's mean (0.003 for 0.3 % of reading), zero or more.</param>
    /// <param name="absoluteTolerance">Tolerance in the unit of the reading, zero or more; the wider of the two counts.</param>
    /// <param name="overSeconds">Length of the window, s, above zero.</param>
    /// <param name="minimumReadings">Fewest readings in the window, <see cref="FewestReadings"/> or more.</param>
    /// <exception cref="ArgumentException">A number out of its range, or both tolerances zero.</exception>
    public SettlingRule(
        double relativeTolerance,
        double absoluteTolerance,
        double overSeconds,
        int minimumReadings = FewestReadings
    )
    {
        if (!(Given.IsNumber(relativeTolerance) && relativeTolerance >= 0))
            throw new ArgumentException(
                $"Settling: the relative tolerance is {relativeTolerance}; it must be a finite fraction of zero or more.",
                nameof(relativeTolerance)
            );
        if (!(Given.IsNumber(absoluteTolerance) && absoluteTolerance >= 0))
            throw new ArgumentException(
                $"Settling: the absolute tolerance is {absoluteTolerance}; it must be finite and zero or more.",
                nameof(absoluteTolerance)
            );
        if (relativeTolerance == 0 && absoluteTolerance == 0)
            throw new ArgumentException(
                "Settling: both tolerances are zero, which no reading can meet. Give one above zero.",
                nameof(relativeTolerance)
            );
        if (!(Given.IsNumber(overSeconds) && overSeconds > 0))
            throw new ArgumentException(
                $"Settling: the window is {overSeconds} s; it must be finite and above 0 s.",
                nameof(overSeconds)
            );
        if (minimumReadings < FewestReadings)
            throw new ArgumentException(
                $"Settling: {minimumReadings} readings asked for; a rule needs {FewestReadings} or more.",
                nameof(minimumReadings)
            );
        RelativeTolerance = relativeTolerance;
        AbsoluteTolerance = absoluteTolerance;
        OverSeconds = overSeconds;
        MinimumReadings = minimumReadings;
    }

    /// <summary>Tolerance as a fraction of the window's mean.</summary>
    public double RelativeTolerance { get; }

    /// <summary>Tolerance in the unit of the reading.</summary>
    public double AbsoluteTolerance { get; }

    /// <summary>Length of the window, s.</summary>
    public double OverSeconds { get; }

    /// <summary>Fewest readings in the window.</summary>
    public int MinimumReadings { get; }

    /// <summary>Tolerance at a mean, in the unit of the reading: the wider of relative and absolute.</summary>
    public double ToleranceAt(double mean)
    {
        Given.Finite("Settling: the mean", mean, "");
        return Math.Max(AbsoluteTolerance, RelativeTolerance * Math.Abs(mean));
    }

    /// <summary>Assess the newest window of a series of readings.</summary>
    /// <param name="times">Times of the readings, s, ascending; only differences matter.</param>
    /// <param name="values">Readings, same length; NaN or infinite marks a missing or overloaded one.</param>
    /// <returns>State, slope and spread of the last <see cref="OverSeconds"/> of the series.</returns>
    /// <exception cref="ArgumentException">Lengths differ, or a time in the window is not finite or not ascending.</exception>
    /// <remarks>Allocates nothing and touches only the readings of the window, so it can run on every scan. Only
    /// + − × ÷ and comparisons decide, so the answer is the same on every machine.</remarks>
    public SettlingAssessment Assess(ReadOnlySpan<double> times, ReadOnlySpan<double> values)
    {
        if (times.Length != values.Length)
            throw new ArgumentException(
                $"Settling: {times.Length} times for {values.Length} readings; give one time for each reading.",
                nameof(times)
            );
        if (times.IsEmpty)
            return SettlingAssessment.Without(SettlingState.TooShort, 0);
        var window = SettlingWindow.Newest(times, OverSeconds);
        return SettlingWindow.Assess(times[window.First..], values[window.First..], window.Covered, this);
    }
}
