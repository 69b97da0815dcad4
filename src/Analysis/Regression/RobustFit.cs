namespace LoadTest.Analysis.Regression;

/// <summary>Linear model by iteratively reweighted least squares, scale from the median absolute residual.</summary>
/// <remarks>Huber, Robust Statistics (1981), 7.6 and 7.8: weights from residuals over s = median |r| / 0.6745, repeated to full
/// convergence (many printed examples stop at a change of 10⁻⁴ and differ in the fourth digit). Stack-loss data, Huber: −41.02649,
/// 0.829386, 0.926059, −0.127846, s 2.440489.</remarks>
public sealed class RobustFit
{
    private const double HuberBend = 1.345;
    private const double BisquareEnd = 4.685;
    private const int SlowerAfter = 100;
    private const int IterationLimit = 2000;

    private RobustFit(IReadOnlyList<Estimate> coefficients, double scale, double[] weights, double[] residuals)
    {
        Coefficients = coefficients;
        Scale = scale;
        Weights = weights;
        Residuals = residuals;
    }

    /// <summary>Coefficients with Huber's asymptotic standard errors, n − p degrees of freedom.</summary>
    public IReadOnlyList<Estimate> Coefficients { get; }

    /// <summary>Robust standard deviation of the residuals.</summary>
    public double Scale { get; }

    /// <summary>Weight each observation ended with, 0 to 1.</summary>
    public IReadOnlyList<double> Weights { get; }

    /// <summary>Observed less fitted.</summary>
    public IReadOnlyList<double> Residuals { get; }

    /// <summary>Fits a straight line: coefficients intercept and slope.</summary>
    public static RobustFit Line(ReadOnlySpan<double> x, ReadOnlySpan<double> y, RobustLoss loss)
    {
        var design = new double[2 * x.Length];
        for (var i = 0; i < x.Length; i++)
        {
            design[2 * i] = 1;
            design[(2 * i) + 1] = x[i];
        }

        return Fit(design, 2, y, loss);
    }

    /// <summary>Fits the coefficients, starting from ordinary least squares.</summary>
    /// <param name="design">Rows of the design one after the other.</param>
    /// <param name="columns">Number of coefficients.</param>
    /// <param name="y">Observations, more than coefficients.</param>
    /// <param name="loss">How far residuals are weighed.</param>
    /// <exception cref="ArgumentException">As for <see cref="LinearFit"/>; or more than half the residuals are zero, so there is no scale.</exception>
    /// <exception cref="ArithmeticException">The weights did not settle.</exception>
    public static RobustFit Fit(ReadOnlySpan<double> design, int columns, ReadOnlySpan<double> y, RobustLoss loss)
    {
        var plain = LinearFit.Fit(design, columns, y);
        var n = y.Length;
        var residuals = plain.Residuals.ToArray();
        var coefficients = plain.Coefficients.Select(c => c.Value).ToArray();
        var weights = new double[n];
        Array.Fill(weights, 1);
        if (plain.ResidualStandardDeviation <= 1e-14 * SmallQr.Norm(y))
        {
            return new RobustFit(plain.Coefficients, 0, weights, residuals);
        }

        var scale = ScaleOf(residuals);
        for (var round = 0; round < IterationLimit; round++)
        {
            // Scale and weights can chase one another round for ever; slower steps end at the same place and not in a circle.
            var median = ScaleOf(residuals);
            scale += (median - scale) / (1 + (round / SlowerAfter));
            for (var i = 0; i < n; i++)
            {
                weights[i] = Weight(residuals[i] / scale, loss);
            }

            var next = Reweighted(design, columns, y, weights);
            var moved = 0.0;
            var size = 0.0;
            for (var i = 0; i < n; i++)
            {
                var rest = y[i];
                for (var j = 0; j < columns; j++)
                {
                    rest -= design[(i * columns) + j] * next[j];
                }

                moved += (rest - residuals[i]) * (rest - residuals[i]);
                size += rest * rest;
                residuals[i] = rest;
            }

            coefficients = next;
            if (moved <= 1e-24 * size && Math.Abs(median - scale) <= 1e-10 * median)
            {
                return Finished(design, columns, coefficients, ScaleOf(residuals), weights, residuals, loss);
            }
        }

        throw new ArithmeticException(
            $"The robust weights did not settle in {IterationLimit} rounds: more than one line fits about as well."
        );
    }

    private static double Weight(double distance, RobustLoss loss)
    {
        var size = Math.Abs(distance);
        if (loss == RobustLoss.Huber)
        {
            return size <= HuberBend ? 1 : HuberBend / size;
        }

        var part = size / BisquareEnd;
        return part >= 1 ? 0 : (1 - (part * part)) * (1 - (part * part));
    }

    // Derivative of distance · weight.
    private static double Bend(double distance, RobustLoss loss)
    {
        if (loss == RobustLoss.Huber)
        {
            return Math.Abs(distance) <= HuberBend ? 1 : 0;
        }

        var part = distance / BisquareEnd;
        var square = part * part;
        return square >= 1 ? 0 : (1 - square) * (1 - (5 * square));
    }

    private static double ScaleOf(double[] residuals)
    {
        var scale = Median.Of(Array.ConvertAll(residuals, Math.Abs)) / 0.6745;
        return scale > 0
            ? scale
            : throw new ArgumentException(
                $"At least half of {residuals.Length} residuals are zero: there is no scale to judge the others by.",
                nameof(residuals)
            );
    }

    private static double[] Reweighted(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> y,
        double[] weights
    )
    {
        var n = y.Length;
        var a = new double[n * columns];
        var b = new double[n];
        for (var i = 0; i < n; i++)
        {
            var root = Math.Sqrt(weights[i]);
            b[i] = root * y[i];
            for (var j = 0; j < columns; j++)
            {
                a[(j * n) + i] = root * design[(i * columns) + j];
            }
        }

        SmallQr.Factor(a, b, n, columns);
        SmallQr.Back(a, n, b, columns);
        return b[..columns];
    }

    // Huber (1981), 7.6: variance K² s_w² (XᵀX)⁻¹ / (mean ψ')².
    private static RobustFit Finished(
        ReadOnlySpan<double> design,
        int p,
        double[] coefficients,
        double scale,
        double[] weights,
        double[] residuals,
        RobustLoss loss
    )
    {
        double n = residuals.Length;
        var (sum, first, second) = (0.0, 0.0, 0.0);
        for (var i = 0; i < residuals.Length; i++)
        {
            var weighted = weights[i] * residuals[i];
            sum += weighted * weighted;
            var bend = Bend(residuals[i] / scale, loss);
            first += bend;
            second += bend * bend;
        }

        var mean = first / n;
        var variance = (second - (first * first / n)) / (n - 1);
        var correction = 1 + (p * variance / (n * mean * mean));
        var deviation = Math.Sqrt(sum / (n - p)) * correction / mean;
        var unscaled = LinearFit.Fit(design, p, residuals, [], VarianceBasis.Known);
        return new RobustFit(
            [
                .. coefficients.Select(
                    (c, j) => new Estimate(c, deviation * unscaled.Coefficients[j].StandardUncertainty, n - p)
                ),
            ],
            scale,
            (double[])weights.Clone(),
            residuals
        );
    }
}
