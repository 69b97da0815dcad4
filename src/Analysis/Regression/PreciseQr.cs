using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Orthogonal factors in double-double arithmetic, for designs whose columns nearly agree.</summary>
/// <remarks>Householder reflections (Golub and Van Loan, 5.2), column by column, fixed order.</remarks>
internal static class PreciseQr
{
    /// <summary>Reduces a (rows × columns, column by column) to R and applies the reflections to b.</summary>
    public static void Factor(DoubleDouble[] a, DoubleDouble[] b, int rows, int columns)
    {
        for (var k = 0; k < columns; k++)
        {
            var pivot = a.AsSpan((k * rows) + k, rows - k);
            var norm = Norm(pivot);
            if (norm.High == 0)
            {
                continue;
            }

            var alpha = pivot[0].High > 0 ? -norm : norm;
            var head = pivot[0] - alpha;
            pivot[0] = head;
            var scale = -(DoubleDouble.One / (alpha * head));
            for (var j = k + 1; j < columns; j++)
            {
                Reflect(pivot, a.AsSpan((j * rows) + k, rows - k), scale);
            }

            Reflect(pivot, b.AsSpan(k, rows - k), scale);
            pivot[0] = alpha;
        }
    }

    /// <summary>Solves R x = b in place for the first <paramref name="columns"/> entries.</summary>
    public static void Back(DoubleDouble[] r, int rows, Span<DoubleDouble> b, int columns)
    {
        for (var j = columns - 1; j >= 0; j--)
        {
            b[j] /= r[(j * rows) + j];
            for (var i = 0; i < j; i++)
            {
                b[i] -= r[(j * rows) + i] * b[j];
            }
        }
    }

    /// <summary>Euclidean length.</summary>
    public static DoubleDouble Norm(ReadOnlySpan<DoubleDouble> values)
    {
        var sum = DoubleDouble.Zero;
        foreach (var value in values)
        {
            sum += value * value;
        }

        return DoubleDouble.Sqrt(sum);
    }

    private static void Reflect(ReadOnlySpan<DoubleDouble> v, Span<DoubleDouble> target, DoubleDouble scale)
    {
        var dot = DoubleDouble.Zero;
        for (var i = 0; i < v.Length; i++)
        {
            dot += v[i] * target[i];
        }

        dot *= scale;
        for (var i = 0; i < v.Length; i++)
        {
            target[i] -= dot * v[i];
        }
    }
}
