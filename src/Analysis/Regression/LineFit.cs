using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Weighted straight line y = intercept + slope · x, errors in y only.</summary>
/// <remarks>Weighted least squares about the weighted means, sums carried to about 31 digits (JCGM 100:2008, H.3; ISO/TS 28037, clause 6).
/// Thermometer corrections of GUM H.3, reference 20 °C: intercept −0.1712 °C, slope 0.00218, correction at 30 °C −0.1494 °C with
/// u = 0.0041 °C and 9 degrees of freedom.</remarks>
public sealed class LineFit
{
    private readonly double _meanX;
    private readonly double _meanY;
    private readonly double _slopeAtMean;
    private readonly double _meanVariance;
    private readonly double _slopeVariance;

    private LineFit(
        Sums sums,
        double slope,
        double intercept,
        double squares,
        VarianceBasis variances,
        int count,
        double[] residuals
    )
    {
        Count = count;
        Variances = variances;
        WeightedSquares = squares;
        Residuals = residuals;
        var residualVariance = count > 2 ? squares / (count - 2) : 0;
        ResidualStandardDeviation = Math.Sqrt(residualVariance);
        var scale = variances == VarianceBasis.Known ? 1 : residualVariance;
        var degrees = variances == VarianceBasis.Known ? double.PositiveInfinity : count - 2;
        _meanX = sums.MeanX;
        _meanY = sums.MeanY;
        _slopeAtMean = slope;
        _meanVariance = scale / sums.Weight;
        _slopeVariance = scale / sums.Sxx;
        Covariance = -_meanX * _slopeVariance;
        Slope = new Estimate(slope, Math.Sqrt(_slopeVariance), degrees);
        Intercept = new Estimate(intercept, Math.Sqrt(_meanVariance + (_meanX * _meanX * _slopeVariance)), degrees);
    }

    /// <summary>Value of the line at x = 0.</summary>
    public Estimate Intercept { get; }

    /// <summary>Rise of the line per unit of x.</summary>
    public Estimate Slope { get; }

    /// <summary>Covariance of intercept and slope, on the chosen variance basis.</summary>
    public double Covariance { get; }

    /// <summary>Correlation of intercept and slope, −1 to 1; zero when an uncertainty is zero.</summary>
    public double Correlation
    {
        get
        {
            var product = Intercept.StandardUncertainty * Slope.StandardUncertainty;
            return product == 0 ? 0 : Covariance / product;
        }
    }

    /// <summary>√(weighted squares / (n − 2)); zero for two points.</summary>
    public double ResidualStandardDeviation { get; }

    /// <summary>Weighted sum of squared residuals; chi-squared when the variances are known.</summary>
    public double WeightedSquares { get; }

    /// <summary>Number of points.</summary>
    public int Count { get; }

    /// <summary>Points less parameters: n − 2.</summary>
    public int ResidualDegrees => Count - 2;

    /// <summary>How the uncertainties were scaled.</summary>
    public VarianceBasis Variances { get; }

    /// <summary>Observed y less the line, in order of the points, unit of y.</summary>
    public IReadOnlyList<double> Residuals { get; }

    /// <summary>Probability of a chi-squared this large by chance; null unless variances are known and n is above 2.</summary>
    public double? ChanceOfScatter =>
        Variances == VarianceBasis.Known && Count > 2 ? ChiSquared.UpperTail(WeightedSquares, Count - 2) : null;

    /// <summary>Fits the line.</summary>
    /// <param name="x">Abscissae, taken as exact.</param>
    /// <param name="y">Ordinates, as many as <paramref name="x"/>.</param>
    /// <param name="weights">Relative weights, or 1/u² with <see cref="VarianceBasis.Known"/>; empty for equal weights of one.</param>
    /// <param name="variances">Basis of the uncertainties; from scatter needs three points, known needs two.</param>
    /// <exception cref="ArgumentException">Too few points, unequal lengths, a value not finite, all x equal, or absurd weights.</exception>
    public static LineFit Fit(
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights = default,
        VarianceBasis variances = VarianceBasis.FromScatter
    )
    {
        FitInput.RequireCount(x.Length, variances == VarianceBasis.Known ? 2 : 3, "A straight line");
        FitInput.RequireSameLength(x.Length, y.Length, nameof(y));
        FitInput.RequireFinite(x, nameof(x));
        FitInput.RequireFinite(y, nameof(y));
        if (!weights.IsEmpty)
        {
            FitInput.RequireWeights(weights, x.Length, nameof(weights));
        }

        var sums = Sums.Of(x, y, weights);
        var slope = sums.Sxy / sums.SxxExact;
        var intercept = sums.MeanYExact - (slope * sums.MeanXExact);
        var residuals = new double[x.Length];
        var squares = DoubleDouble.Zero;
        for (var i = 0; i < x.Length; i++)
        {
            var residual = (DoubleDouble)y[i] - intercept - (slope * x[i]);
            squares += residual * residual * (weights.IsEmpty ? 1 : weights[i]);
            residuals[i] = (double)residual;
        }

        return new LineFit(sums, (double)slope, (double)intercept, (double)squares, variances, x.Length, residuals);
    }

    /// <summary>Height of the line at x with its standard uncertainty (GUM H.3.5: variance of the mean plus that of the slope).</summary>
    public Estimate Predict(double x)
    {
        FitInput.RequireFinite([x], nameof(x));
        var away = x - _meanX;
        return new Estimate(
            _meanY + (_slopeAtMean * away),
            Math.Sqrt(_meanVariance + (away * away * _slopeVariance)),
            Slope.DegreesOfFreedom
        );
    }

    /// <summary>Interval in which the true line lies at x.</summary>
    public Interval ConfidenceBand(double x, double coverage) => Interval.Around(Predict(x), coverage);

    /// <summary>Interval in which one further observation at x falls.</summary>
    /// <param name="x">Abscissa of the further observation.</param>
    /// <param name="coverage">Probability, above 0 and below 1.</param>
    /// <param name="weight">Its weight on the scale of the fit: 1/u² when variances are known.</param>
    public Interval PredictionBand(double x, double coverage, double weight = 1)
    {
        FitInput.RequireUncertainties([weight], 1, nameof(weight));
        var line = Predict(x);
        var scatter =
            Variances == VarianceBasis.Known
                ? 1 / weight
                : ResidualStandardDeviation * ResidualStandardDeviation / weight;
        var u = Math.Sqrt((line.StandardUncertainty * line.StandardUncertainty) + scatter);
        return Interval.Around(line with { StandardUncertainty = u }, coverage);
    }

    /// <summary>x at which the line takes the observed value, with the uncertainty of both (ISO/TS 28037, clause 11.1).</summary>
    /// <param name="y">Observed value with its own standard uncertainty.</param>
    /// <remarks>y 10.5, u 0.5 on the equal-weight example of ISO/TS 28037 page 13: x 4.913, u 0.322.</remarks>
    /// <exception cref="InvalidOperationException">The line is level, so no x answers.</exception>
    public Estimate Inverse(Estimate y)
    {
        Given.Estimate("Observed value", y, "");
        if (_slopeAtMean == 0)
        {
            throw new InvalidOperationException("The fitted line is level: no x can be read back from a y.");
        }

        var away = (y.Value - _meanY) / _slopeAtMean;
        var variance = (y.StandardUncertainty * y.StandardUncertainty) + _meanVariance + (away * away * _slopeVariance);
        var u = Math.Sqrt(variance) / Math.Abs(_slopeAtMean);
        return new Estimate(_meanX + away, u, Slope.DegreesOfFreedom);
    }

    /// <summary>Share each observation has in its own fitted value, 0 to 1; the shares add up to 2.</summary>
    public static double[] Leverages(ReadOnlySpan<double> x, ReadOnlySpan<double> weights = default)
    {
        FitInput.RequireCount(x.Length, 2, "A straight line");
        FitInput.RequireFinite(x, nameof(x));
        if (!weights.IsEmpty)
        {
            FitInput.RequireWeights(weights, x.Length, nameof(weights));
        }

        var sums = Sums.Of(x, x, weights);
        var shares = new double[x.Length];
        for (var i = 0; i < shares.Length; i++)
        {
            var away = x[i] - sums.MeanX;
            var weight = weights.IsEmpty ? 1 : weights[i];
            shares[i] = weight * ((1 / sums.Weight) + (away * away / sums.Sxx));
        }

        return shares;
    }

    private readonly record struct Sums(
        double Weight,
        DoubleDouble MeanXExact,
        DoubleDouble MeanYExact,
        DoubleDouble SxxExact,
        DoubleDouble Sxy
    )
    {
        public double MeanX => (double)MeanXExact;

        public double MeanY => (double)MeanYExact;

        public double Sxx => (double)SxxExact;

        public static Sums Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> weights)
        {
            var (total, sumX, sumY) = (DoubleDouble.Zero, DoubleDouble.Zero, DoubleDouble.Zero);
            for (var i = 0; i < x.Length; i++)
            {
                var weight = weights.IsEmpty ? 1 : weights[i];
                total += weight;
                sumX += DoubleDouble.Product(weight, x[i]);
                sumY += DoubleDouble.Product(weight, y[i]);
            }

            var (meanX, meanY) = (sumX / total, sumY / total);
            var (sxx, sxy) = (DoubleDouble.Zero, DoubleDouble.Zero);
            for (var i = 0; i < x.Length; i++)
            {
                var away = (DoubleDouble)x[i] - meanX;
                var weighted = away * (weights.IsEmpty ? 1 : weights[i]);
                sxx += weighted * away;
                sxy += weighted * ((DoubleDouble)y[i] - meanY);
            }

            RequireSpread(x, sxx.High);
            return new Sums((double)total, meanX, meanY, sxx, sxy);
        }

        private static void RequireSpread(ReadOnlySpan<double> x, double sxx)
        {
            var first = x[0];
            foreach (var value in x)
            {
                if (value != first && sxx > 0 && double.IsFinite(sxx))
                {
                    return;
                }
            }

            throw new ArgumentException(
                $"All {x.Length} abscissae are {Figures.Of(first, 6)}: a line needs at least two different ones.",
                nameof(x)
            );
        }
    }
}
