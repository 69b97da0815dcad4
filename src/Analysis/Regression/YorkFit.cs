using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Straight line with errors in both axes, correlated if need be (York, Evensen, Martínez and De Basabe Delgado, 2004).</summary>
/// <remarks>Pearson's data with York's weights: intercept 5.47991022, slope −0.480533407, S 11.8664; standard errors 0.29497 and
/// 0.057985 at the adjusted points.</remarks>
public sealed class YorkFit
{
    private const int IterationLimit = 500;

    private YorkFit(
        double intercept,
        double slope,
        double varianceA,
        double varianceB,
        double covariance,
        double squares,
        int count,
        VarianceBasis variances
    )
    {
        Count = count;
        WeightedSquares = squares;
        Variances = variances;
        var scale = variances == VarianceBasis.Known ? 1 : squares / (count - 2);
        var degrees = variances == VarianceBasis.Known ? double.PositiveInfinity : count - 2;
        Intercept = new Estimate(intercept, Math.Sqrt(varianceA * scale), degrees);
        Slope = new Estimate(slope, Math.Sqrt(varianceB * scale), degrees);
        Covariance = covariance * scale;
    }

    /// <summary>Value of the line at x = 0.</summary>
    public Estimate Intercept { get; }

    /// <summary>Rise of the line per unit of x.</summary>
    public Estimate Slope { get; }

    /// <summary>Covariance of intercept and slope.</summary>
    public double Covariance { get; }

    /// <summary>Weighted sum of squares S; chi-squared with n − 2 degrees of freedom when the uncertainties are right.</summary>
    public double WeightedSquares { get; }

    /// <summary>Number of points.</summary>
    public int Count { get; }

    /// <summary>How the uncertainties were scaled.</summary>
    public VarianceBasis Variances { get; }

    /// <summary>Probability of a sum of squares this large by chance; null for two points.</summary>
    public double? ChanceOfScatter => Count > 2 ? ChiSquared.UpperTail(WeightedSquares, Count - 2) : null;

    /// <summary>Height of the line at x with its standard uncertainty.</summary>
    public Estimate Predict(double x)
    {
        FitInput.RequireFinite([x], nameof(x));
        var (ua, ub) = (Intercept.StandardUncertainty, Slope.StandardUncertainty);
        var variance = (ua * ua) + (x * x * ub * ub) + (2 * x * Covariance);
        return new Estimate(
            Intercept.Value + (Slope.Value * x),
            Math.Sqrt(Math.Max(0, variance)),
            Slope.DegreesOfFreedom
        );
    }

    /// <summary>Fits the line.</summary>
    /// <param name="x">Abscissae.</param>
    /// <param name="xUncertainty">Their standard uncertainties, above zero.</param>
    /// <param name="y">Ordinates.</param>
    /// <param name="yUncertainty">Their standard uncertainties, above zero.</param>
    /// <param name="correlation">Correlation of each pair's errors, −1 to 1 exclusive; empty for none.</param>
    /// <param name="convention">Points the standard errors belong to.</param>
    /// <param name="variances">Known: the uncertainties size the errors; from scatter: they are only relative.</param>
    /// <exception cref="ArgumentException">Too few points, lengths that disagree, values not finite, or all x equal.</exception>
    /// <exception cref="ArithmeticException">The slope did not settle: the points do not define a line.</exception>
    public static YorkFit Fit(
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> xUncertainty,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> yUncertainty,
        ReadOnlySpan<double> correlation = default,
        ErrorConvention convention = ErrorConvention.AdjustedPoints,
        VarianceBasis variances = VarianceBasis.Known
    )
    {
        FitInput.RequireCount(x.Length, variances == VarianceBasis.Known ? 2 : 3, "A straight line");
        FitInput.RequireUncertainties(xUncertainty, x.Length, nameof(xUncertainty));
        FitInput.RequireUncertainties(yUncertainty, x.Length, nameof(yUncertainty));
        RequireCorrelation(correlation, x.Length);
        var n = x.Length;
        var slope = LineFit.Fit(x, y, [], VarianceBasis.Known).Slope.Value;
        var work = new Work(n);
        var change = double.PositiveInfinity;
        for (var round = 0; round < IterationLimit && change > 4e-16; round++)
        {
            var next = work.Improve(x, xUncertainty, y, yUncertainty, correlation, slope);
            change = next == slope ? 0 : Math.Abs(next - slope) / Math.Abs(next);
            slope = next;
        }

        if (!(change <= 1e-10))
        {
            throw new ArithmeticException(
                $"The slope did not settle in {IterationLimit} rounds: these {n} points do not define a line."
            );
        }

        work.Improve(x, xUncertainty, y, yUncertainty, correlation, slope);
        return work.Finish(x, y, slope, convention, variances);
    }

    private static void RequireCorrelation(ReadOnlySpan<double> correlation, int count)
    {
        if (correlation.IsEmpty)
        {
            return;
        }

        FitInput.RequireSameLength(count, correlation.Length, nameof(correlation));
        foreach (var r in correlation)
        {
            if (!(Math.Abs(r) < 1))
            {
                throw new ArgumentException(
                    $"A correlation of {Figures.Of(r, 6)} is stated; it must lie between −1 and 1.",
                    nameof(correlation)
                );
            }
        }
    }

    private sealed class Work(int n)
    {
        private readonly double[] _weight = new double[n];
        private readonly double[] _beta = new double[n];
        private double _meanX;
        private double _meanY;

        // One round of York's equations; returns the next slope.
        public double Improve(
            ReadOnlySpan<double> x,
            ReadOnlySpan<double> ux,
            ReadOnlySpan<double> y,
            ReadOnlySpan<double> uy,
            ReadOnlySpan<double> correlation,
            double slope
        )
        {
            var (total, sumX, sumY) = (0.0, 0.0, 0.0);
            for (var i = 0; i < n; i++)
            {
                var r = correlation.IsEmpty ? 0 : correlation[i];
                _weight[i] = 1 / ((uy[i] * uy[i]) + (slope * slope * ux[i] * ux[i]) - (2 * slope * r * ux[i] * uy[i]));
                total += _weight[i];
                sumX += _weight[i] * x[i];
                sumY += _weight[i] * y[i];
            }

            (_meanX, _meanY) = (sumX / total, sumY / total);
            var (above, below) = (0.0, 0.0);
            for (var i = 0; i < n; i++)
            {
                var r = correlation.IsEmpty ? 0 : correlation[i];
                var (u, v) = (x[i] - _meanX, y[i] - _meanY);
                _beta[i] =
                    _weight[i]
                    * ((u * uy[i] * uy[i]) + (slope * v * ux[i] * ux[i]) - (((slope * u) + v) * r * ux[i] * uy[i]));
                above += _weight[i] * _beta[i] * v;
                below += _weight[i] * _beta[i] * u;
            }

            return above / below;
        }

        public YorkFit Finish(
            ReadOnlySpan<double> x,
            ReadOnlySpan<double> y,
            double slope,
            ErrorConvention convention,
            VarianceBasis variances
        )
        {
            var intercept = _meanY - (slope * _meanX);
            var (total, sum, squares) = (0.0, 0.0, 0.0);
            for (var i = 0; i < n; i++)
            {
                total += _weight[i];
                sum += _weight[i] * _beta[i];
                var rest = y[i] - intercept - (slope * x[i]);
                squares += _weight[i] * rest * rest;
            }

            var adjusted = convention == ErrorConvention.AdjustedPoints;
            var mean = adjusted ? _meanX + (sum / total) : _meanX;
            var spread = 0.0;
            for (var i = 0; i < n; i++)
            {
                var away = adjusted ? _meanX + _beta[i] - mean : x[i] - mean;
                spread += _weight[i] * away * away;
            }

            var varianceB = 1 / spread;
            return new YorkFit(
                intercept,
                slope,
                (1 / total) + (mean * mean * varianceB),
                varianceB,
                -mean * varianceB,
                squares,
                n,
                variances
            );
        }
    }
}
