namespace LoadTest.AnalysisTests;

/// <summary>Digits of agreement with a published value, as NIST counts them.</summary>
internal static class Digits
{
    /// <summary>Log relative error −log₁₀ |found − certified| / |certified|, absolute where certified is zero, at most 15.</summary>
    public static double Of(double found, double certified)
    {
        var error = Math.Abs(found - certified);
        if (error == 0)
        {
            return 15;
        }

        var digits = -Math.Log10(certified == 0 ? error : error / Math.Abs(certified));
        return Math.Min(15, digits);
    }

    public static void AtLeast(double needed, double found, double certified, string what = "")
    {
        var digits = Of(found, certified);
        Assert.True(
            digits >= needed,
            $"{what} {found:R} agrees with {certified:R} to {digits:F2} digits; {needed} are needed"
        );
    }
}
