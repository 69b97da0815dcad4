namespace LoadTest.Analysis.Regression;

/// <summary>Middle of a sample.</summary>
internal static class Median
{
    /// <summary>Median; sorts the array in place.</summary>
    public static double Of(double[] values)
    {
        Array.Sort(values);
        var middle = values.Length / 2;
        return values.Length % 2 == 1 ? values[middle] : 0.5 * (values[middle - 1] + values[middle]);
    }
}
