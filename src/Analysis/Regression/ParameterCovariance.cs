namespace LoadTest.Analysis.Regression;

/// <summary>Unscaled covariance (JᵀJ)⁻¹ of the free parameters, with rank and condition of the column-scaled Jacobian.</summary>
internal sealed class ParameterCovariance
{
    /// <summary>Condition number above which the parameters cannot be told apart in double arithmetic.</summary>
    public const double WorstCondition = 1e13;

    private readonly double[] _values;
    private readonly int _p;

    private ParameterCovariance(double[] values, int p, double condition, int rank)
    {
        _values = values;
        _p = p;
        Condition = condition;
        Rank = rank;
    }

    /// <summary>Condition in the 1-norm, columns scaled to unit length; infinite when a column vanishes.</summary>
    public double Condition { get; }

    /// <summary>Number of free parameters the data can tell apart.</summary>
    public int Rank { get; }

    /// <summary>Entry of the unscaled covariance; zero where a parameter is held.</summary>
    public double this[int i, int j] => _values[(i * _p) + j];

    /// <summary>Covariance from derivatives, column by column, n rows.</summary>
    /// <param name="jacobian">n × p derivatives.</param>
    /// <param name="n">Number of rows.</param>
    /// <param name="p">Number of parameters.</param>
    /// <param name="held">Which parameters are held by bounds; empty for none.</param>
    public static ParameterCovariance Of(ReadOnlySpan<double> jacobian, int n, int p, ReadOnlySpan<bool> held = default)
    {
        var values = new double[p * p];
        Span<int> free = stackalloc int[p];
        var m = 0;
        for (var j = 0; j < p; j++)
        {
            if (held.IsEmpty || !held[j])
            {
                free[m++] = j;
            }
        }

        if (n < m || m == 0)
        {
            return new ParameterCovariance(values, p, double.PositiveInfinity, Math.Min(n, m));
        }

        var columns = new double[(n * m) + n];
        Span<double> lengths = stackalloc double[m];
        var vanished = 0;
        for (var k = 0; k < m; k++)
        {
            var source = jacobian.Slice(free[k] * n, n);
            var length = SmallQr.Norm(source);
            lengths[k] = length;
            vanished += length > 0 && double.IsFinite(length) ? 0 : 1;
            for (var i = 0; i < n; i++)
            {
                columns[(k * n) + i] = length > 0 ? source[i] / length : 0;
            }
        }

        if (vanished > 0)
        {
            return new ParameterCovariance(values, p, double.PositiveInfinity, m - vanished);
        }

        SmallQr.Factor(columns.AsSpan(0, n * m), columns.AsSpan(n * m), n, m);
        var rank = RankOf(columns, n, m);
        if (rank < m)
        {
            return new ParameterCovariance(values, p, double.PositiveInfinity, rank);
        }

        Span<double> inverse = m <= 16 ? stackalloc double[m * m] : new double[m * m];
        Invert(columns, n, m, inverse);
        var condition = OneNorm(columns, n, m) * OneNorm(inverse, m, m);
        Multiply(inverse, m, lengths, free, values, p);
        return new ParameterCovariance(values, p, condition, condition > WorstCondition ? m - 1 : m);
    }

    private static int RankOf(ReadOnlySpan<double> r, int stride, int m)
    {
        var rank = 0;
        for (var j = 0; j < m; j++)
        {
            rank += Math.Abs(r[(j * stride) + j]) > 1e-15 ? 1 : 0;
        }

        return rank;
    }

    private static void Invert(ReadOnlySpan<double> r, int stride, int m, Span<double> inverse)
    {
        inverse.Clear();
        for (var j = 0; j < m; j++)
        {
            var column = inverse.Slice(j * m, m);
            column[j] = 1;
            SmallQr.Back(r, stride, column, j + 1);
        }
    }

    private static double OneNorm(ReadOnlySpan<double> a, int stride, int m)
    {
        var largest = 0.0;
        for (var j = 0; j < m; j++)
        {
            var sum = 0.0;
            for (var i = 0; i <= j; i++)
            {
                sum += Math.Abs(a[(j * stride) + i]);
            }

            largest = Math.Max(largest, sum);
        }

        return largest;
    }

    private static void Multiply(
        ReadOnlySpan<double> inverse,
        int m,
        ReadOnlySpan<double> lengths,
        ReadOnlySpan<int> free,
        Span<double> values,
        int p
    )
    {
        for (var a = 0; a < m; a++)
        {
            for (var b = a; b < m; b++)
            {
                var sum = 0.0;
                for (var k = b; k < m; k++)
                {
                    sum += inverse[(k * m) + a] * inverse[(k * m) + b];
                }

                var value = sum / (lengths[a] * lengths[b]);
                values[(free[a] * p) + free[b]] = value;
                values[(free[b] * p) + free[a]] = value;
            }
        }
    }
}
