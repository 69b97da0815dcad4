using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Straight line through the median of all pairwise slopes: unmoved by up to 29 % bad points.</summary>
/// <remarks>Theil (1950), Sen (1968); interval of the slope from the normal approximation to Kendall's tau, ranks to the nearest. Pearson's data:
/// slope −0.535714, 95 % from −0.645833 to −0.470588, intercept 5.6625 (median y less slope times median x).</remarks>
public sealed class TheilSenFit
{
    private TheilSenFit(double slope, double intercept, Interval slopeInterval)
    {
        Slope = slope;
        Intercept = intercept;
        SlopeInterval = slopeInterval;
    }

    /// <summary>Median of the pairwise slopes.</summary>
    public double Slope { get; }

    /// <summary>Median of y less slope times median of x.</summary>
    public double Intercept { get; }

    /// <summary>Interval of the slope.</summary>
    public Interval SlopeInterval { get; }

    /// <summary>Fits the line.</summary>
    /// <param name="x">Abscissae; pairs with equal abscissae are passed over.</param>
    /// <param name="y">Ordinates.</param>
    /// <param name="coverage">Coverage of the slope's interval, above 0 and below 1.</param>
    /// <exception cref="ArgumentException">Fewer than two different abscissae, lengths that disagree, or values not finite.</exception>
    public static TheilSenFit Fit(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double coverage = 0.95)
    {
        FitInput.RequireCount(x.Length, 2, "A straight line");
        FitInput.RequireSameLength(x.Length, y.Length, nameof(y));
        FitInput.RequireFinite(x, nameof(x));
        FitInput.RequireFinite(y, nameof(y));
        Numerics.Probability.RequireOpen(coverage, nameof(coverage));
        var slopes = new List<double>(x.Length * (x.Length - 1) / 2);
        for (var i = 0; i < x.Length; i++)
        {
            for (var j = i + 1; j < x.Length; j++)
            {
                if (x[j] != x[i])
                {
                    slopes.Add((y[j] - y[i]) / (x[j] - x[i]));
                }
            }
        }

        if (slopes.Count == 0)
        {
            throw new ArgumentException(
                $"All {x.Length} abscissae are {Figures.Of(x[0], 6)}: a line needs at least two different ones.",
                nameof(x)
            );
        }

        var sorted = slopes.ToArray();
        var slope = Median.Of(sorted);
        var (mx, my) = (Median.Of(x.ToArray()), Median.Of(y.ToArray()));
        var half = Normal.UpperQuantile(0.5 * (1 - coverage)) * Math.Sqrt(TauVariance(x, y));
        var lower = (int)Math.Round(0.5 * (sorted.Length - half));
        var upper = (int)Math.Round(0.5 * (sorted.Length + half));
        var interval = new Interval(
            sorted[Math.Clamp(lower - 1, 0, sorted.Length - 1)],
            sorted[Math.Clamp(upper, 0, sorted.Length - 1)],
            coverage
        );
        return new TheilSenFit(slope, my - (slope * mx), interval);
    }

    // Variance of Kendall's S, ties in x and in y taken off (Sen, 1968).
    private static double TauVariance(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        double n = x.Length;
        return ((n * (n - 1) * ((2 * n) + 5)) - TieTerm(x) - TieTerm(y)) / 18;
    }

    private static double TieTerm(ReadOnlySpan<double> values)
    {
        var sorted = values.ToArray();
        Array.Sort(sorted);
        var (term, run) = (0.0, 1);
        for (var i = 1; i <= sorted.Length; i++)
        {
            if (i < sorted.Length && sorted[i] == sorted[i - 1])
            {
                run++;
                continue;
            }

            double k = run;
            term += k * (k - 1) * ((2 * k) + 5);
            run = 1;
        }

        return term;
    }
}
