using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Least squares linear in its coefficients: y = Σ coefficient · column, errors in y only.</summary>
/// <remarks>Householder QR of the weighted, column-scaled design in about 31 digits, so nearly dependent columns cost no printed digit
/// (NIST StRD Longley: B1 15.0618722713733, standard deviation 84.9149257747669). Sums are in a fixed order.</remarks>
public sealed class LinearFit
{
    private readonly double[] _inverse;
    private readonly double _scale;

    private LinearFit(LinearSolution solution, double[] y, double[]? weights, VarianceBasis variances)
    {
        var p = solution.Coefficients.Length;
        Count = y.Length;
        Variances = variances;
        Condition = solution.Condition;
        WeightedSquares = (double)solution.Squares;
        ResidualDegrees = Count - p;
        var variance = ResidualDegrees > 0 ? (double)(solution.Squares / ResidualDegrees) : 0;
        ResidualStandardDeviation = Math.Sqrt(variance);
        _scale = variances == VarianceBasis.Known ? 1 : variance;
        _inverse = Array.ConvertAll(solution.Inverse, v => (double)v);
        Residuals = Array.ConvertAll(solution.Residuals, v => (double)v);
        var degrees = variances == VarianceBasis.Known ? double.PositiveInfinity : ResidualDegrees;
        Coefficients =
        [
            .. solution.Coefficients.Select(
                (c, j) => new Estimate((double)c, Math.Sqrt(_scale * _inverse[(j * p) + j]), degrees)
            ),
        ];
        (RSquaredAboutMean, RSquaredAboutZero) = Explained(y, weights, solution.Squares);
    }

    /// <summary>Coefficients in the order of the columns.</summary>
    public IReadOnlyList<Estimate> Coefficients { get; }

    /// <summary>√(weighted squares / (n − p)).</summary>
    public double ResidualStandardDeviation { get; }

    /// <summary>Weighted sum of squared residuals; chi-squared when the variances are known.</summary>
    public double WeightedSquares { get; }

    /// <summary>Share of the squares about the weighted mean that the fit explains; for a model with a constant.</summary>
    public double RSquaredAboutMean { get; }

    /// <summary>Share of the raw squares that the fit explains; for a model without a constant (NIST NoInt1, NoInt2).</summary>
    public double RSquaredAboutZero { get; }

    /// <summary>Number of observations.</summary>
    public int Count { get; }

    /// <summary>Observations less coefficients.</summary>
    public int ResidualDegrees { get; }

    /// <summary>How the uncertainties were scaled.</summary>
    public VarianceBasis Variances { get; }

    /// <summary>Condition number of the column-scaled design in the 1-norm.</summary>
    public double Condition { get; }

    /// <summary>Observed less fitted, in the order of the observations.</summary>
    public IReadOnlyList<double> Residuals { get; }

    /// <summary>Covariance of two coefficients, on the chosen basis.</summary>
    public double Covariance(int i, int j) => _scale * _inverse[(i * Coefficients.Count) + j];

    /// <summary>Fitted value for a row of the design with its standard uncertainty.</summary>
    /// <exception cref="ArgumentException">The row has another number of columns.</exception>
    public Estimate Predict(params ReadOnlySpan<double> row)
    {
        FitInput.RequireSameLength(Coefficients.Count, row.Length, nameof(row));
        FitInput.RequireFinite(row, nameof(row));
        var value = 0.0;
        for (var j = 0; j < row.Length; j++)
        {
            value += Coefficients[j].Value * row[j];
        }

        return new Estimate(value, Math.Sqrt(_scale * Leverage(row)), Coefficients[0].DegreesOfFreedom);
    }

    /// <summary>xᵀ(XᵀWX)⁻¹x: times the weight of an observation, its share in its own fitted value.</summary>
    public double Leverage(ReadOnlySpan<double> row)
    {
        FitInput.RequireSameLength(Coefficients.Count, row.Length, nameof(row));
        FitInput.RequireFinite(row, nameof(row));
        var sum = 0.0;
        for (var i = 0; i < row.Length; i++)
        {
            for (var j = 0; j < row.Length; j++)
            {
                sum += row[i] * _inverse[(i * row.Length) + j] * row[j];
            }
        }

        return Math.Max(0, sum);
    }

    /// <summary>Fits the coefficients.</summary>
    /// <param name="design">Rows of the design one after the other, <paramref name="columns"/> entries each.</param>
    /// <param name="columns">Number of coefficients.</param>
    /// <param name="y">Observations.</param>
    /// <param name="weights">Relative weights, or 1/u² with <see cref="VarianceBasis.Known"/>; empty for equal weights of one.</param>
    /// <param name="variances">Basis of the uncertainties; from scatter needs more observations than coefficients.</param>
    /// <exception cref="ArgumentException">Lengths that disagree, values not finite, too few observations, or columns that cannot be told apart.</exception>
    public static LinearFit Fit(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights = default,
        VarianceBasis variances = VarianceBasis.FromScatter
    )
    {
        FitInput.RequireCount(columns, 1, "A linear model");
        FitInput.RequireSameLength(y.Length * columns, design.Length, nameof(design));
        FitInput.RequireFinite(design, nameof(design));
        var n = y.Length;
        var matrix = new DoubleDouble[n * columns];
        for (var i = 0; i < n; i++)
        {
            for (var j = 0; j < columns; j++)
            {
                matrix[(j * n) + i] = design[(i * columns) + j];
            }
        }

        Require(columns, y, weights, variances);
        return Of(LinearSolution.Of(matrix, y, weights, n, columns), y, weights, variances);
    }

    internal static LinearFit Of(
        LinearSolution solution,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights,
        VarianceBasis variances
    ) => new(solution, y.ToArray(), weights.IsEmpty ? null : weights.ToArray(), variances);

    internal static void Require(
        int columns,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights,
        VarianceBasis variances
    )
    {
        FitInput.RequireCount(
            y.Length,
            variances == VarianceBasis.Known ? columns : columns + 1,
            $"A model of {columns} coefficients"
        );
        FitInput.RequireFinite(y, nameof(y));
        if (!weights.IsEmpty)
        {
            FitInput.RequireWeights(weights, y.Length, nameof(weights));
        }
    }

    private static (double AboutMean, double AboutZero) Explained(double[] y, double[]? weights, DoubleDouble squares)
    {
        var (total, sum, raw) = (DoubleDouble.Zero, DoubleDouble.Zero, DoubleDouble.Zero);
        for (var i = 0; i < y.Length; i++)
        {
            var weight = weights?[i] ?? 1;
            total += weight;
            sum += DoubleDouble.Product(weight, y[i]);
            raw += DoubleDouble.Product(y[i], y[i]) * weight;
        }

        var about = raw - (sum * sum / total);
        return (Share(squares, about), Share(squares, raw));
    }

    private static double Share(DoubleDouble squares, DoubleDouble all) =>
        all.High == 0 ? 1 : (double)(DoubleDouble.One - (squares / all));
}
