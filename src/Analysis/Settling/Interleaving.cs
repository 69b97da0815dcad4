using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Settling;

/// <summary>One reading of an interleaved series.</summary>
/// <param name="Seconds">Time of the reading, s.</param>
/// <param name="Value">The reading.</param>
public readonly record struct TimedReading(double Seconds, double Value);

/// <summary>Ratio of a unit to a reference read in turn by meters that are not synchronised.</summary>
public static class Interleaving
{
    /// <summary>Ratio unit over reference, the reference taken at the moment of each unit reading.</summary>
    /// <param name="reference">Reference readings, ascending in time, one before and one after every unit reading.</param>
    /// <param name="unit">Unit readings between them, at least three.</param>
    /// <returns>Mean ratio with u of the scatter of the single ratios.</returns>
    /// <exception cref="ArgumentException">Too few readings, out of order, not bracketed, not finite, or a reference at zero.</exception>
    /// <remarks>
    /// Reference–unit–reference (the A–B–A scheme of mass comparison, common practice): the reference is interpolated
    /// linearly between its neighbours, which removes a linear drift of the current altogether. Neighbouring ratios share a
    /// reference reading and its noise; with equal relative noise σ of both meters and unit readings midway the mean of m
    /// ratios has variance σ²(2 − 1/(2m))/m and s² of the ratios is σ² m/(m − 1)·(3/2 − that/σ²) on average, from the
    /// covariances of the scheme. Worked number: reference 100, 102, 104, 106 at 0, 2, 4, 6 s and unit 50.5, 51.5, 52.5 at 1, 3, 5 s
    /// give exactly 0.5.
    /// </remarks>
    public static Estimate Ratio(ReadOnlySpan<TimedReading> reference, ReadOnlySpan<TimedReading> unit)
    {
        Check(reference, "reference", 2);
        Check(unit, "unit", 3);
        var ratios = new double[unit.Length];
        var next = 1;
        for (var i = 0; i < unit.Length; i++)
        {
            var at = unit[i].Seconds;
            while (next < reference.Length - 1 && reference[next].Seconds < at)
                next++;
            var (before, after) = (reference[next - 1], reference[next]);
            Guard.Require(
                before.Seconds <= at && at <= after.Seconds,
                $"Interleaved readings: unit reading {i + 1} at {Figures.Of(at, 6)} s has no reference reading on both sides. Read the reference first and last."
            );
            var f = (at - before.Seconds) / (after.Seconds - before.Seconds);
            var level = before.Value + f * (after.Value - before.Value);
            Guard.Require(
                level != 0,
                $"Interleaved readings: the reference is 0 at {Figures.Of(at, 6)} s; a ratio needs current."
            );
            ratios[i] = unit[i].Value / level;
        }
        var (mean, squares) = SampleMoments.About(ratios);
        var m = ratios.Length;
        // In units of the noise of one reading: variance of the mean, and what s² of the ratios is on average.
        var ofMean = (2 - 0.5 / m) / m;
        var ofScatter = m / (m - 1.0) * (1.5 - ofMean);
        return new(mean, Math.Sqrt(squares / (m - 1) / ofScatter * ofMean), m - 1);
    }

    private static void Check(ReadOnlySpan<TimedReading> readings, string name, int fewest)
    {
        Guard.Require(
            readings.Length >= fewest,
            $"Interleaved readings: {readings.Length} of the {name}; {fewest} or more are needed."
        );
        for (var i = 0; i < readings.Length; i++)
        {
            Guard.Finite(readings[i].Value, $"Interleaved readings, {name} {i + 1}", "reading");
            Guard.Finite(readings[i].Seconds, $"Interleaved readings, {name} {i + 1}", "time in s");
            Guard.Require(
                i == 0 || readings[i].Seconds > readings[i - 1].Seconds,
                $"Interleaved readings: {name} reading {i + 1} is not later than the one before it."
            );
        }
    }
}
