using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Settling;

/// <summary>Grubbs' test for one outlier among readings that are otherwise normal.</summary>
/// <param name="Index">Reading furthest from the mean.</param>
/// <param name="Statistic">G, its distance in sample standard deviations; zero when the readings do not vary.</param>
/// <param name="Critical">Critical value.</param>
public readonly record struct Grubbs(int Index, double Statistic, double Critical)
{
    /// <summary>Whether the reading is flagged; it is never dropped.</summary>
    public bool IsOutlier => Statistic > Critical;

    /// <summary>Test the reading furthest from the mean, on either side.</summary>
    /// <param name="values">Readings, finite, at least three.</param>
    /// <param name="significance">Chance of flagging a good set, between 0 and 1, of both sides together.</param>
    /// <exception cref="ArgumentException">Fewer than three readings, or one that is not finite.</exception>
    /// <remarks>G = max |x − x̄|/s; critical value (n − 1)/√n · √(t²/(n − 2 + t²)), t at α/(2n). NIST/SEMATECH e-Handbook 1.3.5.17.1.
    /// Worked number: n = 8 at 5 % is 2.127 for both sides, 2.032 for one.</remarks>
    public static Grubbs Test(ReadOnlySpan<double> values, double significance = 0.05)
    {
        Averaging.Refuse(values);
        Guard.Require(values.Length >= 3, $"Grubbs: {values.Length} readings; three or more are needed.");
        Guard.Probability(significance, "Grubbs");
        var (mean, squares) = SampleMoments.About(values);
        var s = Math.Sqrt(squares / (values.Length - 1));
        var furthest = 0;
        for (var i = 1; i < values.Length; i++)
        {
            if (Math.Abs(values[i] - mean) > Math.Abs(values[furthest] - mean))
                furthest = i;
        }
        var g = s > 0 ? Math.Abs(values[furthest] - mean) / s : 0;
        return new(furthest, g, CriticalValue(values.Length, significance / 2));
    }

    /// <summary>Critical value for one side.</summary>
    /// <param name="count">Readings, three or more.</param>
    /// <param name="oneSidedSignificance">Chance of flagging a good set on that side.</param>
    public static double CriticalValue(int count, double oneSidedSignificance)
    {
        Guard.Require(count >= 3, $"Grubbs: {count} readings; three or more are needed.");
        Guard.Probability(oneSidedSignificance, "Grubbs");
        var t = StudentT.UpperQuantile(oneSidedSignificance / count, count - 2);
        return (count - 1) / Math.Sqrt(count) * Math.Sqrt(t * t / (count - 2 + t * t));
    }
}
