namespace LoadTest.Analysis.Settling;

/// <summary>How far readings that creep towards an end still have to go.</summary>
/// <remarks>
/// A first-order approach changes over equal times by parts that shrink by the same factor q, so what is still to come after
/// the third of three equal stretches is d₂·q/(1 − q), d the changes between their means (Aitken's Δ² extrapolation, textbooks
/// of numerical analysis). A slow unit looks still long before it is: within 0.3 % over 4 s a time constant of 30 s may leave 2 %.
/// Worked: means 90, 96, 98.4: q = 0.4, still to come 1.6, the end 100.
/// </remarks>
public static class Approach
{
    /// <summary>Fewest readings: three in each stretch.</summary>
    public const int FewestReadings = 9;

    /// <summary>A change below so many of its own standard uncertainties is none.</summary>
    private const double Significant = 3;

    /// <summary>Size of the change still to come, in the unit of the readings.</summary>
    /// <param name="times">Times, s, ascending.</param>
    /// <param name="values">Readings, as many; NaN or infinite marks a missing or overloaded one.</param>
    /// <returns>
    /// Zero when the changes drown in scatter; infinity when they do not shrink; null with fewer than
    /// <see cref="FewestReadings"/> readings, a stretch without three, or a reading missing or overloaded.
    /// </returns>
    /// <exception cref="ArgumentException">Lengths differ, or a time is no number.</exception>
    public static double? StillToCome(ReadOnlySpan<double> times, ReadOnlySpan<double> values)
    {
        Given.SameLength("Values", values.Length, times.Length);
        Given.Values("Times", times, 0);
        if (values.Length < FewestReadings)
        {
            return null;
        }

        Span<double> sums = [0, 0, 0];
        Span<int> counts = [0, 0, 0];
        var (from, span) = (times[0], times[^1] - times[0]);
        if (!(span > 0) || !AllNumbers(values))
        {
            return null;
        }

        double squares = 0;
        for (var k = 0; k < values.Length; k++)
        {
            var stretch = Math.Clamp((int)(3 * (times[k] - from) / span), 0, 2);
            sums[stretch] += values[k];
            counts[stretch]++;
            squares += k == 0 ? 0 : (values[k] - values[k - 1]) * (values[k] - values[k - 1]);
        }

        if (counts[0] < 3 || counts[1] < 3 || counts[2] < 3)
        {
            return null;
        }

        var first = sums[1] / counts[1] - sums[0] / counts[0];
        var second = sums[2] / counts[2] - sums[1] / counts[1];
        // Scatter from successive differences, which a trend hardly touches (von Neumann).
        var scatter = Math.Sqrt(squares / (2.0 * (values.Length - 1)));
        if (Math.Abs(second) <= Significant * scatter * Math.Sqrt(1.0 / counts[1] + 1.0 / counts[2]))
        {
            return 0;
        }

        var q = second / first;
        return q switch
        {
            < 0 => Math.Abs(second),
            >= 1 => double.PositiveInfinity,
            _ => Math.Abs(second) * q / (1 - q),
        };
    }

    private static bool AllNumbers(ReadOnlySpan<double> values)
    {
        foreach (var value in values)
        {
            if (!Given.IsNumber(value))
            {
                return false;
            }
        }

        return true;
    }
}
