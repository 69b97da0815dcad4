using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Uncertainty;

/// <summary>One or two rectangles that carry most of a budget's variance, so that its result is far from normal.</summary>
/// <param name="First">Share of the variance the largest rectangular error carries, above zero to 1.</param>
/// <param name="Second">Share of the next, 0 to <paramref name="First"/>.</param>
/// <param name="Component">Component of the largest.</param>
/// <remarks>EA-4/02 M:2022, S9 and S10 (from memory): where rectangles dominate, k follows from their distribution, 1.65 for one rectangle and
/// 1.83 for a trapezoid of edge ratio 0.33, at 95 %. Here what the two leave is a normal beside them, so that k passes steadily from one case to the other.</remarks>
public readonly record struct Dominance(double First, double Second, Component Component)
{
    /// <summary>Share of the variance from which rectangles dominate.</summary>
    public const double Threshold = 0.7;

    private static readonly double RootThree = Math.Sqrt(3);

    /// <summary>The dominating rectangles of a budget; null when there are none.</summary>
    internal static Dominance? Of(Budget budget)
    {
        var variance = budget.Combined.StandardUncertainty * budget.Combined.StandardUncertainty;
        if (!(variance > 0))
            return null;
        var (first, second, component) = (0.0, 0.0, Component.Input);
        foreach (var error in Errors(budget))
        {
            if (error.Any(l => l.Input.Distribution != Distribution.Rectangular))
                continue;
            var sum = error.Sum(l => l.Sensitivity * l.Input.StandardUncertainty);
            var share = Math.Min(1, sum * sum / variance);
            if (share > first)
                (first, second, component) = (share, first, error[0].Input.Component);
            else if (share > second)
                second = share;
        }
        return first > Threshold || first + second > Threshold && second > 0.5 * first
            ? new Dominance(first, Math.Min(second, 1 - first), component)
            : null;
    }

    // Lines of one shared error are one; every other line is an error of its own.
    private static IEnumerable<BudgetLine[]> Errors(Budget budget) =>
        budget
            .Lines.Where(l => l.Input.IsShared)
            .GroupBy(l => (l.Input.Component, l.Input.SharedBy))
            .Select(g => g.ToArray())
            .Concat(budget.Lines.Where(l => !l.Input.IsShared).Select(l => new[] { l }));

    /// <summary>Coverage factor of the sum of the two rectangles and a normal for the rest, u = 1.</summary>
    /// <param name="probability">Coverage probability, between 0 and 1.</param>
    /// <remarks>P(|X| ≤ k) by the second integral of the normal distribution over the rectangles, exact; k by halving. Worked numbers at 95 %: 1.645 for
    /// one rectangle alone, 1.835 for two with shares 0.8 and 0.2.</remarks>
    internal double Factor(double probability)
    {
        Guard.Probability(probability, "Coverage");
        double low = 0,
            high = 10;
        for (var i = 0; i < 60; i++)
        {
            var middle = (low + high) / 2;
            if (Within(middle) < probability)
                low = middle;
            else
                high = middle;
        }
        return (low + high) / 2;
    }

    private double Within(double k)
    {
        var rest = 1 - First - Second;
        // A rectangle or a rest too small to be seen would only cost digits.
        var b = Second > 1e-4 ? Math.Sqrt(Second) * RootThree : 1e-2 * RootThree;
        var a = Math.Sqrt(First) * RootThree;
        var s = Math.Sqrt(Math.Max(rest, 1e-6));
        double Upper(double x) =>
            Twice((x + a + b) / s) - Twice((x + a - b) / s) - Twice((x - a + b) / s) + Twice((x - a - b) / s);
        var below = s * s / (4 * a * b) * Upper(k);
        return 2 * below - 1;
    }

    // Second integral of Φ: ((x² + 1) Φ(x) + x φ(x))/2.
    private static double Twice(double x) => x < -40 ? 0 : ((x * x + 1) * Normal.Cdf(x) + x * Normal.Density(x)) / 2;
}
