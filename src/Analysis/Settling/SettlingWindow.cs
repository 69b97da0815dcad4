namespace LoadTest.Analysis.Settling;

/// <summary>The arithmetic behind <see cref="SettlingRule.Assess"/>: three passes over the window, nothing allocated.</summary>
internal static class SettlingWindow
{
    // A slope counts as a drift when it exceeds this many of its standard uncertainties.
    private const double DriftSignificance = 3;

    // Rounding of times kept as doubles: a window of 4.0 s may come out one part in 10^9 short.
    private const double TimeRounding = 1e-9;

    /// <summary>Index of the first reading of the newest window, and whether the readings reach back far enough.</summary>
    public static (int First, bool Covered) Newest(ReadOnlySpan<double> times, double overSeconds)
    {
        var last = times[^1];
        var slack = overSeconds * TimeRounding;
        var first = times.Length - 1;
        RequireFinite(last, first);
        while (first > 0 && last - times[first] < overSeconds - slack)
        {
            RequireFinite(times[first - 1], first - 1);
            if (!(times[first - 1] < times[first]))
                throw new ArgumentException(
                    $"Settling: reading {first} at {times[first]} s is not later than the one before it at {times[first - 1]} s. Give times in ascending order.",
                    nameof(times)
                );
            first--;
        }
        return (first, last - times[first] >= overSeconds - slack);
    }

    public static SettlingAssessment Assess(
        ReadOnlySpan<double> times,
        ReadOnlySpan<double> values,
        bool covered,
        SettlingRule rule
    )
    {
        var n = values.Length;
        foreach (var value in values)
        {
            if (!Given.IsNumber(value))
                return SettlingAssessment.Without(SettlingState.Missing, n);
        }
        if (!covered || n < rule.MinimumReadings || HasHole(times, rule.OverSeconds))
            return SettlingAssessment.Without(SettlingState.TooShort, n);

        var line = Line.Through(times, values);
        var spread = 0.0;
        foreach (var value in values)
            spread = Math.Max(spread, Math.Abs(value - line.Mean));
        var change = line.Slope * (times[^1] - times[0]);
        var tolerance = rule.ToleranceAt(line.Mean);
        var period = 0.0;
        SettlingState state;
        if (spread <= tolerance && Math.Abs(change) <= tolerance)
            state = SettlingState.Settled;
        else if (Math.Abs(change) > tolerance && Math.Abs(line.Slope) > DriftSignificance * line.SlopeUncertainty)
            state = SettlingState.Drifting;
        else if ((period = Swing.Period(times, values, line)) > 0)
            state = SettlingState.Oscillating;
        else if (Math.Abs(change) >= spread && Math.Abs(line.Slope) > DriftSignificance * line.SlopeUncertainty)
            state = SettlingState.Drifting;
        else
            state = SettlingState.Noisy;
        return new(
            state,
            n,
            line.Mean,
            line.Slope,
            line.SlopeUncertainty,
            change,
            spread,
            line.Residual,
            tolerance,
            period
        );
    }

    private static bool HasHole(ReadOnlySpan<double> times, double overSeconds)
    {
        for (var i = 1; i < times.Length; i++)
        {
            if (times[i] - times[i - 1] > overSeconds * SettlingRule.LargestGapFraction)
                return true;
        }
        return false;
    }

    private static void RequireFinite(double time, int index)
    {
        if (!Given.IsNumber(time))
            throw new ArgumentException(
                $"Settling: the time of reading {index + 1} is {time}; it must be finite.",
                nameof(time)
            );
    }
}

/// <summary>Least-squares line through a window, centred in time and value.</summary>
internal readonly record struct Line(
    double Mean,
    double MeanTime,
    double Slope,
    double Residual,
    double SlopeUncertainty
)
{
    public double Residue(double time, double value) => value - Mean - Slope * (time - MeanTime);

    public static Line Through(ReadOnlySpan<double> times, ReadOnlySpan<double> values)
    {
        var n = values.Length;
        // Sums of differences from the first reading keep the digits of a small ripple on a large level.
        double t0 = times[0],
            v0 = values[0],
            sumT = 0,
            sumV = 0;
        for (var i = 0; i < n; i++)
        {
            sumT += times[i] - t0;
            sumV += values[i] - v0;
        }
        double meanT = sumT / n,
            meanV = sumV / n,
            tt = 0,
            tv = 0;
        for (var i = 0; i < n; i++)
        {
            var t = times[i] - t0 - meanT;
            tt += t * t;
            tv += t * (values[i] - v0 - meanV);
        }
        var slope = tt > 0 ? tv / tt : 0;
        double sum = 0,
            lagged = 0,
            before = 0;
        for (var i = 0; i < n; i++)
        {
            var r = values[i] - v0 - meanV - slope * (times[i] - t0 - meanT);
            sum += r * r;
            if (i > 0)
                lagged += r * before;
            before = r;
        }
        var residual = Math.Sqrt(sum / (n - 2));
        // Residuals that lean on their neighbours say less than their number: AR(1) widens the slope by (1 + r)/(1 − r).
        var r1 = sum > 0 ? Math.Clamp(lagged / sum, 0, 0.95) : 0;
        var u = tt > 0 ? residual * Math.Sqrt((1 + r1) / (1 - r1) / tt) : 0;
        return new(v0 + meanV, t0 + meanT, slope, residual, u);
    }
}

/// <summary>Finds a regular swing from the times at which residuals cross from below to above.</summary>
internal static class Swing
{
    // Whole periods seen before a swing is called regular, and how far single periods may differ from their mean.
    private const int FewestPeriods = 3;
    private const double Irregularity = 0.2;

    // A crossing counts only after the residual was this many standard deviations on the other side.
    private const double Hysteresis = 0.5;

    // Correlation of the residuals half and whole a period apart, from which a swing is believed.
    private const double Repetition = 0.4;

    // With fewer readings a period than this, chance makes regular crossings of noise.
    private const double FewestReadingsPerPeriod = 5;

    /// <summary>Mean period in seconds, or zero when the crossings are not regular.</summary>
    public static double Period(ReadOnlySpan<double> times, ReadOnlySpan<double> values, in Line line)
    {
        var threshold = Hysteresis * line.Residual;
        bool below = false,
            started = false;
        double last = 0,
            sum = 0,
            squares = 0;
        var periods = 0;
        for (var i = 0; i < values.Length; i++)
        {
            var r = line.Residue(times[i], values[i]);
            if (r < -threshold)
                below = true;
            else if (r > threshold && below)
            {
                below = false;
                if (started)
                {
                    var period = times[i] - last;
                    sum += period;
                    squares += period * period;
                    periods++;
                }
                started = true;
                last = times[i];
            }
        }
        if (periods < FewestPeriods)
            return 0;
        var mean = sum / periods;
        var variance = Math.Max(0, squares / periods - mean * mean);
        var interval = (times[^1] - times[0]) / (times.Length - 1);
        return
            variance <= Irregularity * Irregularity * mean * mean
            && mean >= FewestReadingsPerPeriod * interval
            && RepeatsAt(times, values, line, mean / interval)
            ? mean
            : 0;
    }

    /// <summary>Whether residuals oppose those half a period away and match those a whole period away.</summary>
    private static bool RepeatsAt(
        ReadOnlySpan<double> times,
        ReadOnlySpan<double> values,
        in Line line,
        double readingsPerPeriod
    )
    {
        int half = (int)(readingsPerPeriod / 2 + 0.5),
            whole = (int)(readingsPerPeriod + 0.5);
        double all = 0,
            opposed = 0,
            matched = 0;
        for (var i = 0; i < values.Length; i++)
        {
            var r = line.Residue(times[i], values[i]);
            all += r * r;
            if (i >= half)
                opposed += r * line.Residue(times[i - half], values[i - half]);
            if (i >= whole)
                matched += r * line.Residue(times[i - whole], values[i - whole]);
        }
        return opposed <= -Repetition * all * (values.Length - half) / values.Length
            && matched >= Repetition * all * (values.Length - whole) / values.Length;
    }
}
