using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Curvature and hysteresis of a shunt sweep.</summary>
internal static class ShuntShape
{
    private const double Significance = 0.05;

    // Two currents are alike when they differ by no more than this fraction of the rated current.
    private const double LikeCurrents = 0.03;

    /// <summary>Quadratic term by projection on what a line cannot explain, tested by F(1, n − 3).</summary>
    /// <remarks>Draper and Smith, extra sum of squares (from memory). The sag is measured from the chord: for a term c·z²
    /// over a half-span of h it is −c·h² at the middle.</remarks>
    public static ShuntCurvature? Curvature(double[] amperes, double[] millivolts, ShuntRating rating)
    {
        var n = amperes.Length;
        double low = amperes.Min(),
            high = amperes.Max(),
            half = (high - low) / 2,
            middle = low + half;
        if (n < 5 || CountDifferent(amperes, LikeCurrents * rating.RatedAmperes) < 4)
            return null;
        var z = Array.ConvertAll(amperes, a => (a - middle) / half);
        var square = LineFit.Fit(z, Array.ConvertAll(z, v => v * v)).Residuals;
        var rest = LineFit.Fit(z, millivolts).Residuals;
        double qq = 0,
            qy = 0,
            yy = 0;
        for (var i = 0; i < n; i++)
        {
            qq += square[i] * square[i];
            qy += square[i] * rest[i];
            yy += rest[i] * rest[i];
        }
        var c = qy / qq;
        var left = Math.Max(0, yy - c * qy) / (n - 3);
        var f = left > 0 ? c * qy / left : double.PositiveInfinity;
        var p =
            yy == 0 ? 1
            : double.IsInfinity(f) ? 0
            : FisherF.UpperTail(f, 1, n - 3);
        var percent = 100 / rating.RatedMillivolts;
        return new(new Estimate(-c * percent, Math.Sqrt(left / qq) * percent, n - 3), p < Significance, p);
    }

    /// <summary>Down minus up at like currents, each taken from the line so that unequal currents do not matter.</summary>
    /// <remarks>Mean of the pairs' differences with u = s/√n (JCGM 100:2008, 4.2), called significant beyond its U. Common practice.
    /// Worked number: pairs of 0.09, 0.10, 0.10 and 0.11 % have mean 0.100 %, u = 0.004 %, ν = 3, U = 0.013 %: significant.</remarks>
    public static ShuntHysteresis? Hysteresis(
        IReadOnlyList<ShuntPoint> points,
        IReadOnlyList<double> residuals,
        ShuntRating rating
    )
    {
        var differences = new List<double>();
        for (var i = 0; i < points.Count; i++)
        {
            if (points[i].Direction <= 0)
                continue;
            var best = -1;
            for (var j = 0; j < points.Count; j++)
            {
                if (points[j].Direction < 0 && (best < 0 || Away(i, j) < Away(i, best)))
                    best = j;
            }
            if (best >= 0 && Away(i, best) <= LikeCurrents * rating.RatedAmperes)
                differences.Add((residuals[best] - residuals[i]) / rating.RatedMillivolts * 100);
        }
        if (differences.Count == 0)
            return null;
        var largest = differences.MaxBy(Math.Abs);
        if (differences.Count == 1)
            return new(null, largest, 1, IsSignificant: false);
        var mean = differences.Average();
        var n = differences.Count;
        var s = Math.Sqrt(differences.Sum(d => (d - mean) * (d - mean)) / (n - 1));
        var estimate = new Estimate(mean, s / Math.Sqrt(n), n - 1);
        var expanded = Coverage.Factor(Coverage.Conventional, n - 1) * estimate.StandardUncertainty;
        return new(estimate, largest, n, Math.Abs(mean) > expanded);

        double Away(int i, int j) => Math.Abs(points[i].ReferenceAmperes - points[j].ReferenceAmperes);
    }

    private static int CountDifferent(double[] amperes, double least)
    {
        var sorted = amperes.Order().ToArray();
        int count = 1;
        var last = sorted[0];
        foreach (var a in sorted)
        {
            if (a - last <= least)
                continue;
            count++;
            last = a;
        }
        return count;
    }
}
