namespace LoadTest.Analysis.Regression;

/// <summary>Straight line with errors of constant, known ratio in both axes (Deming, 1943).</summary>
/// <remarks>Closed form; δ is the variance of y's errors over that of x's. Pearson's data with δ = 1 (orthogonal fit, 1901): slope
/// −0.545561, intercept 5.784044.</remarks>
public static class DemingFit
{
    /// <summary>Fits the line; uncertainties from the scatter, at the adjusted points.</summary>
    /// <param name="x">Abscissae.</param>
    /// <param name="y">Ordinates.</param>
    /// <param name="varianceRatio">δ = var(y errors) / var(x errors), above zero.</param>
    /// <exception cref="ArgumentException">Fewer than three points, lengths that disagree, values not finite, no spread, or δ not above zero.</exception>
    public static YorkFit Fit(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double varianceRatio)
    {
        RequireRatio(varianceRatio);
        var ux = new double[x.Length];
        var uy = new double[x.Length];
        Array.Fill(ux, 1);
        Array.Fill(uy, Math.Sqrt(varianceRatio));
        return YorkFit.Fit(x, ux, y, uy, variances: VarianceBasis.FromScatter);
    }

    /// <summary>Slope by the closed form, to which the iterated fit must agree.</summary>
    /// <exception cref="ArgumentException">As for the fit, or ordinates that do not move with the abscissae.</exception>
    public static double Slope(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double varianceRatio)
    {
        RequireRatio(varianceRatio);
        FitInput.RequireCount(x.Length, 3, "A straight line");
        FitInput.RequireSameLength(x.Length, y.Length, nameof(y));
        FitInput.RequireFinite(x, nameof(x));
        FitInput.RequireFinite(y, nameof(y));
        var (mx, my) = (Mean(x), Mean(y));
        var (sxx, sxy, syy) = (0.0, 0.0, 0.0);
        for (var i = 0; i < x.Length; i++)
        {
            var (dx, dy) = (x[i] - mx, y[i] - my);
            (sxx, sxy, syy) = (sxx + (dx * dx), sxy + (dx * dy), syy + (dy * dy));
        }

        if (sxy == 0)
        {
            throw new ArgumentException(
                "The ordinates do not move with the abscissae: no slope stands out.",
                nameof(y)
            );
        }

        var half = syy - (varianceRatio * sxx);
        return (half + Math.Sqrt((half * half) + (4 * varianceRatio * sxy * sxy))) / (2 * sxy);
    }

    private static void RequireRatio(double varianceRatio)
    {
        if (!(varianceRatio > 0) || !Given.IsNumber(varianceRatio))
        {
            throw new ArgumentException(
                $"A variance ratio of {Figures.Of(varianceRatio, 6)} is given; it must be finite and above 0.",
                nameof(varianceRatio)
            );
        }
    }

    private static double Mean(ReadOnlySpan<double> values)
    {
        var sum = 0.0;
        foreach (var value in values)
        {
            sum += value;
        }

        return sum / values.Length;
    }
}
