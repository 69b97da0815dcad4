namespace LoadTest.Analysis.Regression;

/// <summary>Orthogonal factors of a small dense matrix held column by column; plain loops in a fixed order.</summary>
/// <remarks>Householder reflections (Golub and Van Loan, Matrix Computations, 5.2). A column of zeros leaves a zero on the diagonal.</remarks>
internal static class SmallQr
{
    /// <summary>Reduces a to R in its upper triangle and applies the same reflections to b.</summary>
    /// <param name="a">rows × columns, column by column; its first <paramref name="columns"/> rows hold R afterwards.</param>
    /// <param name="b">Right-hand side, one value per row; holds Qᵀb afterwards.</param>
    /// <param name="rows">Number of rows, at least <paramref name="columns"/>.</param>
    /// <param name="columns">Number of columns.</param>
    public static void Factor(Span<double> a, Span<double> b, int rows, int columns)
    {
        for (var k = 0; k < columns; k++)
        {
            var column = a.Slice(k * rows, rows);
            var pivot = column[k..];
            var norm = Norm(pivot);
            if (norm == 0)
            {
                continue;
            }

            var alpha = pivot[0] > 0 ? -norm : norm;
            var head = pivot[0] - alpha;
            pivot[0] = head;
            var scale = -1 / (alpha * head);
            for (var j = k + 1; j < columns; j++)
            {
                Reflect(pivot, a.Slice((j * rows) + k, rows - k), scale);
            }

            Reflect(pivot, b.Slice(k, rows - k), scale);
            pivot[0] = alpha;
        }
    }

    /// <summary>Euclidean length, scaled where squares would overflow or vanish.</summary>
    public static double Norm(ReadOnlySpan<double> values)
    {
        var sum = Dot(values, values);
        if (sum > 1e-280 && sum < 1e280)
        {
            return Math.Sqrt(sum);
        }

        var largest = 0.0;
        foreach (var value in values)
        {
            largest = Math.Max(largest, Math.Abs(value));
        }

        if (largest == 0 || !double.IsFinite(largest))
        {
            return largest;
        }

        sum = 0;
        foreach (var value in values)
        {
            var part = value / largest;
            sum += part * part;
        }

        return largest * Math.Sqrt(sum);
    }

    /// <summary>Solves R x = b in place, R upper triangular with the given column stride.</summary>
    public static void Back(ReadOnlySpan<double> r, int stride, Span<double> b, int columns)
    {
        for (var j = columns - 1; j >= 0; j--)
        {
            b[j] /= r[(j * stride) + j];
            var value = b[j];
            for (var i = 0; i < j; i++)
            {
                b[i] -= r[(j * stride) + i] * value;
            }
        }
    }

    /// <summary>Solves Rᵀ x = b in place.</summary>
    public static void Forward(ReadOnlySpan<double> r, int stride, Span<double> b, int columns)
    {
        for (var j = 0; j < columns; j++)
        {
            var value = b[j];
            for (var i = 0; i < j; i++)
            {
                value -= r[(j * stride) + i] * b[i];
            }

            b[j] = value / r[(j * stride) + j];
        }
    }

    /// <summary>Sum of products, in four running sums of a fixed order: the same bits on every machine.</summary>
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        b = b[..a.Length];
        var (s0, s1, s2, s3) = (0.0, 0.0, 0.0, 0.0);
        var i = 0;
        for (; i <= a.Length - 4; i += 4)
        {
            s0 += a[i] * b[i];
            s1 += a[i + 1] * b[i + 1];
            s2 += a[i + 2] * b[i + 2];
            s3 += a[i + 3] * b[i + 3];
        }

        for (; i < a.Length; i++)
        {
            s0 += a[i] * b[i];
        }

        return (s0 + s1) + (s2 + s3);
    }

    private static void Reflect(ReadOnlySpan<double> v, Span<double> target, double scale)
    {
        target = target[..v.Length];
        var dot = Dot(v, target) * scale;
        for (var i = 0; i < v.Length; i++)
        {
            target[i] -= dot * v[i];
        }
    }
}
