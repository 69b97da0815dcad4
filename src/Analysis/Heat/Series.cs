namespace LoadTest.Analysis.Heat;

/// <summary>Checks of a series over time.</summary>
internal static class Series
{
    public static void Check(ReadOnlySpan<double> seconds, ReadOnlySpan<double> values, int least)
    {
        Given.Values("Moments", seconds, least);
        Given.SameLength("Values", values.Length, seconds.Length);
        Given.Values("Values", values, least);
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

    public static double Range(ReadOnlySpan<double> values)
    {
        var (least, most) = (values[0], values[0]);
        foreach (var value in values)
        {
            least = Math.Min(least, value);
            most = Math.Max(most, value);
        }

        return most - least;
    }
}
