using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Least-squares solution of a scaled design in double-double arithmetic: coefficients, (XᵀX)⁻¹, residuals, condition.</summary>
internal sealed class LinearSolution
{
    /// <summary>Condition number of the column-scaled design above which doubles cannot hold the difference between columns.</summary>
    public const double WorstCondition = 4e15;

    private LinearSolution(
        DoubleDouble[] coefficients,
        DoubleDouble[] inverse,
        DoubleDouble[] residuals,
        DoubleDouble squares,
        double condition
    )
    {
        Coefficients = coefficients;
        Inverse = inverse;
        Residuals = residuals;
        Squares = squares;
        Condition = condition;
    }

    public DoubleDouble[] Coefficients { get; }

    /// <summary>(XᵀWX)⁻¹, p × p.</summary>
    public DoubleDouble[] Inverse { get; }

    /// <summary>Observed less fitted, not weighted.</summary>
    public DoubleDouble[] Residuals { get; }

    /// <summary>Weighted sum of squared residuals.</summary>
    public DoubleDouble Squares { get; }

    /// <summary>Condition in the 1-norm, columns scaled to unit length.</summary>
    public double Condition { get; }

    /// <summary>Solves the problem.</summary>
    /// <param name="design">n × p, column by column, not weighted.</param>
    /// <param name="y">Observations.</param>
    /// <param name="weights">Weights, or empty.</param>
    /// <param name="n">Number of observations.</param>
    /// <param name="p">Number of coefficients.</param>
    /// <exception cref="ArgumentException">Columns that cannot be told apart.</exception>
    public static LinearSolution Of(
        DoubleDouble[] design,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights,
        int n,
        int p
    )
    {
        var a = (DoubleDouble[])design.Clone();
        var b = new DoubleDouble[n];
        for (var i = 0; i < n; i++)
        {
            var root = weights.IsEmpty ? DoubleDouble.One : DoubleDouble.Sqrt(weights[i]);
            b[i] = root * y[i];
            for (var j = 0; j < p; j++)
            {
                a[(j * n) + i] *= root;
            }
        }

        var scale = new DoubleDouble[p];
        for (var j = 0; j < p; j++)
        {
            var column = a.AsSpan(j * n, n);
            scale[j] = PreciseQr.Norm(column);
            RequireColumn(scale[j].High > 0, p, double.PositiveInfinity);
            for (var i = 0; i < n; i++)
            {
                column[i] /= scale[j];
            }
        }

        PreciseQr.Factor(a, b, n, p);
        for (var j = 0; j < p; j++)
        {
            RequireColumn(Math.Abs(a[(j * n) + j].High) > 1e-28, p, double.PositiveInfinity);
        }

        var root1 = Inverted(a, n, p);
        var condition = OneNorm(a, n, p) * OneNorm(root1, p, p);
        RequireColumn(condition <= WorstCondition, p, condition);
        PreciseQr.Back(a, n, b, p);
        var coefficients = new DoubleDouble[p];
        for (var j = 0; j < p; j++)
        {
            coefficients[j] = b[j] / scale[j];
        }

        var (residuals, squares) = Rest(design, y, weights, coefficients, n, p);
        return new LinearSolution(coefficients, Product(root1, scale, p), residuals, squares, condition);
    }

    private static (DoubleDouble[] Residuals, DoubleDouble Squares) Rest(
        DoubleDouble[] design,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights,
        DoubleDouble[] coefficients,
        int n,
        int p
    )
    {
        var residuals = new DoubleDouble[n];
        var squares = DoubleDouble.Zero;
        for (var i = 0; i < n; i++)
        {
            var rest = (DoubleDouble)y[i];
            for (var j = 0; j < p; j++)
            {
                rest -= design[(j * n) + i] * coefficients[j];
            }

            residuals[i] = rest;
            squares += rest * rest * (weights.IsEmpty ? 1 : weights[i]);
        }

        return (residuals, squares);
    }

    private static DoubleDouble[] Inverted(DoubleDouble[] r, int rows, int p)
    {
        var inverse = new DoubleDouble[p * p];
        for (var j = 0; j < p; j++)
        {
            var column = inverse.AsSpan(j * p, p);
            column[j] = DoubleDouble.One;
            PreciseQr.Back(r, rows, column, j + 1);
        }

        return inverse;
    }

    private static DoubleDouble[] Product(DoubleDouble[] root, DoubleDouble[] scale, int p)
    {
        var product = new DoubleDouble[p * p];
        for (var i = 0; i < p; i++)
        {
            for (var j = i; j < p; j++)
            {
                var sum = DoubleDouble.Zero;
                for (var k = j; k < p; k++)
                {
                    sum += root[(k * p) + i] * root[(k * p) + j];
                }

                product[(i * p) + j] = product[(j * p) + i] = sum / (scale[i] * scale[j]);
            }
        }

        return product;
    }

    private static double OneNorm(DoubleDouble[] a, int rows, int p)
    {
        var largest = 0.0;
        for (var j = 0; j < p; j++)
        {
            var sum = 0.0;
            for (var i = 0; i <= j; i++)
            {
                sum += Math.Abs(a[(j * rows) + i].High);
            }

            largest = Math.Max(largest, sum);
        }

        return largest;
    }

    private static void RequireColumn(bool holds, int p, double condition)
    {
        if (!holds)
        {
            throw new ArgumentException(
                $"The data do not tell the {p} coefficients apart (condition {Figures.Of(condition, 3)}; at most {Figures.Of(WorstCondition, 1)} is allowed). Measure over a wider range or use fewer terms.",
                nameof(holds)
            );
        }
    }
}
