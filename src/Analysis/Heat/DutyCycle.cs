namespace LoadTest.Analysis.Heat;

/// <summary>Part of a ten-minute cycle spent under load, and how long load may go on.</summary>
/// <remarks>
/// On-load time over a cycle of ten minutes: IEC 60974-1 (definition as summarised by a standards catalogue). 60 % is 6 min of load
/// and 4 min without. Any ten minutes count here, not only those of a fixed grid: the stricter reading.
/// </remarks>
public static class DutyCycle
{
    /// <summary>Ten minutes.</summary>
    public static readonly TimeSpan Cycle = TimeSpan.FromMinutes(10);

    /// <summary>Part of the cycle that ends at a moment spent under load, 0 to 1.</summary>
    /// <param name="loads">Stretches under load, in order, none overlapping.</param>
    /// <param name="end">End of the cycle.</param>
    /// <param name="cycle">Length of the cycle, above zero.</param>
    public static double Before(IReadOnlyList<LoadSpan> loads, TimeSpan end, TimeSpan cycle)
    {
        Check(loads, cycle);
        return OnTime(loads, end, cycle) / (double)cycle.Ticks;
    }

    /// <summary>Largest part of any one cycle spent under load, 0 to 1.</summary>
    /// <param name="loads">Stretches under load, in order, none overlapping.</param>
    /// <param name="cycle">Length of the cycle, above zero.</param>
    /// <remarks>The worst cycle ends where a stretch ends, or begins where one begins.</remarks>
    public static double Worst(IReadOnlyList<LoadSpan> loads, TimeSpan cycle)
    {
        Check(loads, cycle);
        long worst = 0;
        foreach (var load in loads)
        {
            worst = Math.Max(worst, OnTime(loads, load.To, cycle));
            worst = Math.Max(worst, OnTime(loads, load.From + cycle, cycle));
        }

        return worst / (double)cycle.Ticks;
    }

    /// <summary>How long load may stand from a moment on before any cycle holds more than is permitted.</summary>
    /// <param name="loads">Stretches under load so far, in order, none overlapping, none after <paramref name="now"/>.</param>
    /// <param name="now">When load would come on, or is on.</param>
    /// <param name="permitted">Permitted part of the cycle, above 0 to 1.</param>
    /// <param name="cycle">Length of the cycle, above zero.</param>
    /// <returns>Time from now; null when load may stand for good (permitted 1).</returns>
    public static TimeSpan? MayStand(IReadOnlyList<LoadSpan> loads, TimeSpan now, double permitted, TimeSpan cycle)
    {
        CheckNow(loads, now, permitted, cycle);
        if (permitted >= 1)
        {
            return null;
        }

        // With load on from now, the on-time of the cycle that ends later never falls, so the first excess is found by halves.
        var allowed = (long)Math.Floor(permitted * cycle.Ticks);
        long within = 0;
        var beyond = cycle.Ticks;
        if (OnTime(loads, now, cycle) > allowed)
        {
            return TimeSpan.Zero;
        }

        while (beyond - within > 1)
        {
            var middle = within + (beyond - within) / 2;
            var on = OnTime(loads, now + new TimeSpan(middle), cycle) + middle;
            (within, beyond) = on <= allowed ? (middle, beyond) : (within, middle);
        }

        return new TimeSpan(within);
    }

    /// <summary>How long to wait without load until it may stand for a wanted time.</summary>
    /// <param name="loads">Stretches under load so far.</param>
    /// <param name="now">Present moment, at or after the last stretch.</param>
    /// <param name="wanted">How long load is to stand then, above zero.</param>
    /// <param name="permitted">Permitted part of the cycle, above 0 to 1.</param>
    /// <param name="cycle">Length of the cycle, above zero.</param>
    /// <returns>The wait; null when so long a load is never permitted.</returns>
    public static TimeSpan? WaitFor(
        IReadOnlyList<LoadSpan> loads,
        TimeSpan now,
        TimeSpan wanted,
        double permitted,
        TimeSpan cycle
    )
    {
        CheckNow(loads, now, permitted, cycle);
        Given.Positive("Wanted load time", wanted.TotalSeconds, "s");
        if (permitted < 1 && wanted.Ticks > (long)Math.Floor(permitted * cycle.Ticks))
        {
            return null;
        }

        bool Enough(long wait) =>
            MayStand(loads, now + new TimeSpan(wait), permitted, cycle) is not { } span || span >= wanted;
        if (Enough(0))
        {
            return TimeSpan.Zero;
        }

        long tooEarly = 0;
        var enough = cycle.Ticks;
        while (enough - tooEarly > 1)
        {
            var middle = tooEarly + (enough - tooEarly) / 2;
            (tooEarly, enough) = Enough(middle) ? (tooEarly, middle) : (middle, enough);
        }

        return new TimeSpan(enough);
    }

    private static long OnTime(IReadOnlyList<LoadSpan> loads, TimeSpan end, TimeSpan cycle)
    {
        var start = end - cycle;
        long ticks = 0;
        foreach (var load in loads)
        {
            var from = load.From > start ? load.From : start;
            var to = load.To < end ? load.To : end;
            ticks += Math.Max(0, (to - from).Ticks);
        }

        return ticks;
    }

    private static void CheckNow(IReadOnlyList<LoadSpan> loads, TimeSpan now, double permitted, TimeSpan cycle)
    {
        Check(loads, cycle);
        if (!(permitted is > 0 and <= 1))
        {
            throw new ArgumentException(
                $"A duty cycle of {Figures.Of(permitted, 4)} is permitted; it has to be above 0 and at most 1."
            );
        }

        if (loads.Count > 0 && loads[^1].To > now)
        {
            throw new ArgumentException($"Load stands until {loads[^1].To}, after the moment {now} asked about.");
        }
    }

    private static void Check(IReadOnlyList<LoadSpan> loads, TimeSpan cycle)
    {
        ArgumentNullException.ThrowIfNull(loads);
        Given.Positive("Cycle", cycle.TotalSeconds, "s");
        for (var k = 0; k < loads.Count; k++)
        {
            if (loads[k].To < loads[k].From || (k > 0 && loads[k].From < loads[k - 1].To))
            {
                throw new ArgumentException(
                    $"Load {k + 1} runs from {loads[k].From} to {loads[k].To}, before it begins or before the one ahead ends."
                );
            }
        }
    }
}
