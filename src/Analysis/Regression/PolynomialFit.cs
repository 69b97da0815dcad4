using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Polynomial of any degree by least squares, solved in a centred and scaled variable.</summary>
/// <remarks>t = (x − centre) / half range, so that powers stay between −1 and 1; the coefficients of x are expanded from those of t in
/// about 31 digits. NIST StRD Wampler5: all six coefficients 1, standard deviations up to 23 635 517.</remarks>
public sealed class PolynomialFit
{
    private readonly LinearFit _scaled;
    private readonly DoubleDouble _centre;
    private readonly DoubleDouble _half;

    private PolynomialFit(LinearFit scaled, LinearSolution solution, DoubleDouble centre, DoubleDouble half)
    {
        _scaled = scaled;
        _centre = centre;
        _half = half;
        var p = scaled.Coefficients.Count;
        var expand = Expansion(centre, half, p);
        var degrees = scaled.Coefficients[0].DegreesOfFreedom;
        var scale =
            scaled.Variances == VarianceBasis.Known ? DoubleDouble.One : solution.Squares / scaled.ResidualDegrees;
        var coefficients = new Estimate[p];
        for (var i = 0; i < p; i++)
        {
            var (value, variance) = (DoubleDouble.Zero, DoubleDouble.Zero);
            for (var j = i; j < p; j++)
            {
                value += expand[(i * p) + j] * solution.Coefficients[j];
                for (var k = i; k < p; k++)
                {
                    variance += expand[(i * p) + j] * solution.Inverse[(j * p) + k] * expand[(i * p) + k];
                }
            }

            coefficients[i] = new Estimate((double)value, Math.Sqrt(Math.Max(0, (double)(variance * scale))), degrees);
        }

        Coefficients = coefficients;
    }

    /// <summary>Coefficients of x⁰, x¹, ….</summary>
    public IReadOnlyList<Estimate> Coefficients { get; }

    /// <summary>Degree of the polynomial.</summary>
    public int Degree => Coefficients.Count - 1;

    /// <summary>√(weighted squares / (n − p)).</summary>
    public double ResidualStandardDeviation => _scaled.ResidualStandardDeviation;

    /// <summary>Weighted sum of squared residuals.</summary>
    public double WeightedSquares => _scaled.WeightedSquares;

    /// <summary>Observations less coefficients.</summary>
    public int ResidualDegrees => _scaled.ResidualDegrees;

    /// <summary>Observed less fitted, in the order of the observations.</summary>
    public IReadOnlyList<double> Residuals => _scaled.Residuals;

    /// <summary>Share of the squares about the weighted mean that the fit explains.</summary>
    public double RSquared => _scaled.RSquaredAboutMean;

    /// <summary>Condition number of the design in the scaled variable.</summary>
    public double Condition => _scaled.Condition;

    /// <summary>Height of the polynomial at x with its standard uncertainty.</summary>
    public Estimate Predict(double x)
    {
        FitInput.RequireFinite([x], nameof(x));
        var t = (double)(((DoubleDouble)x - _centre) / _half);
        Span<double> row = stackalloc double[Coefficients.Count];
        var power = 1.0;
        for (var j = 0; j < row.Length; j++)
        {
            row[j] = power;
            power *= t;
        }

        return _scaled.Predict(row);
    }

    /// <summary>Fits a polynomial.</summary>
    /// <param name="x">Abscissae, taken as exact.</param>
    /// <param name="y">Ordinates.</param>
    /// <param name="degree">Degree, 0 to 20.</param>
    /// <param name="weights">Relative weights, or 1/u² with <see cref="VarianceBasis.Known"/>; empty for equal weights of one.</param>
    /// <param name="variances">Basis of the uncertainties.</param>
    /// <exception cref="ArgumentException">Too few or equal abscissae for the degree, lengths that disagree, or values not finite.</exception>
    public static PolynomialFit Fit(
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        int degree,
        ReadOnlySpan<double> weights = default,
        VarianceBasis variances = VarianceBasis.FromScatter
    )
    {
        if (degree is < 0 or > 20)
        {
            throw new ArgumentOutOfRangeException(nameof(degree), degree, "A polynomial has degree 0 to 20 here.");
        }

        FitInput.RequireSameLength(x.Length, y.Length, nameof(y));
        FitInput.RequireFinite(x, nameof(x));
        var p = degree + 1;
        LinearFit.Require(p, y, weights, variances);
        var (low, high) = (x[0], x[0]);
        foreach (var value in x)
        {
            (low, high) = (Math.Min(low, value), Math.Max(high, value));
        }

        var centre = ((DoubleDouble)low + high) * 0.5;
        var half = ((DoubleDouble)high - low) * 0.5;
        if (half.High == 0)
        {
            half = DoubleDouble.One;
        }

        var n = x.Length;
        var matrix = new DoubleDouble[n * p];
        for (var i = 0; i < n; i++)
        {
            var t = ((DoubleDouble)x[i] - centre) / half;
            var power = DoubleDouble.One;
            for (var j = 0; j < p; j++)
            {
                matrix[(j * n) + i] = power;
                power *= t;
            }
        }

        var solution = LinearSolution.Of(matrix, y, weights, n, p);
        var scaled = LinearFit.Of(solution, y, weights, variances);
        return new PolynomialFit(scaled, solution, centre, half);
    }

    // Row i, column j: coefficient of x^i in ((x − centre) / half)^j.
    private static DoubleDouble[] Expansion(DoubleDouble centre, DoubleDouble half, int p)
    {
        var table = new DoubleDouble[p * p];
        table[0] = DoubleDouble.One;
        for (var j = 1; j < p; j++)
        {
            for (var i = 0; i <= j; i++)
            {
                var raised = i == 0 ? DoubleDouble.Zero : table[((i - 1) * p) + j - 1];
                var kept = i == j ? DoubleDouble.Zero : table[(i * p) + j - 1];
                table[(i * p) + j] = (raised - (centre * kept)) / half;
            }
        }

        return table;
    }
}
