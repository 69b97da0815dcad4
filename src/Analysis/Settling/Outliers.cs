namespace LoadTest.Analysis.Settling;

/// <summary>Flags readings that do not belong to the rest; it never drops one.</summary>
public static class Outliers
{
    /// <summary>Distance from the median, in robust standard deviations, beyond which a reading is flagged.</summary>
    public const double HampelLimit = 3;

    // 1/Φ⁻¹(3/4): makes the median absolute deviation of normal readings equal their standard deviation.
    private const double NormalConsistency = 1.482602218505602;

    private const int LargestOnStack = 512;

    /// <summary>Number of readings flagged by the Hampel identifier.</summary>
    /// <param name="values">Readings, finite.</param>
    public static int HampelCount(ReadOnlySpan<double> values)
    {
        var (median, scale) = MedianAndScale(values);
        var count = 0;
        foreach (var value in values)
            count += IsFar(value, median, scale) ? 1 : 0;
        return count;
    }

    /// <summary>Indices of the readings flagged by the Hampel identifier, ascending.</summary>
    /// <param name="values">Readings, finite.</param>
    /// <returns>Those with |x − median| above <see cref="HampelLimit"/> × 1.4826 × MAD.</returns>
    /// <remarks>Hampel 1974; Davies and Gather 1993 (from memory). When more than half of the readings are identical the
    /// MAD is zero and nothing is flagged: a resolution-limited meter would otherwise flag every other digit. Worked
    /// number: 10.0 10.1 9.9 10.0 10.2 9.8 12.0 has median 10.0, MAD 0.1, limit 0.445: only 12.0 is flagged.</remarks>
    public static IReadOnlyList<int> Hampel(ReadOnlySpan<double> values)
    {
        var (median, scale) = MedianAndScale(values);
        var found = new List<int>();
        for (var i = 0; i < values.Length; i++)
        {
            if (IsFar(values[i], median, scale))
                found.Add(i);
        }
        return found;
    }

    private static bool IsFar(double value, double median, double scale) =>
        scale > 0 && Math.Abs(value - median) > HampelLimit * scale;

    private static (double Median, double Scale) MedianAndScale(ReadOnlySpan<double> values)
    {
        Averaging.Refuse(values);
        var n = values.Length;
        Span<double> sorted = n <= LargestOnStack ? stackalloc double[n] : new double[n];
        values.CopyTo(sorted);
        sorted.Sort();
        var median = Middle(sorted);
        for (var i = 0; i < n; i++)
            sorted[i] = Math.Abs(values[i] - median);
        sorted.Sort();
        return (median, NormalConsistency * Middle(sorted));
    }

    private static double Middle(ReadOnlySpan<double> sorted)
    {
        var half = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[half] : sorted[half - 1] + (sorted[half] - sorted[half - 1]) / 2;
    }
}
