namespace LoadTest.Analysis.Regression;

/// <summary>Step of least squares kept inside an ellipsoid of trust, from the triangular factor of the Jacobian.</summary>
/// <remarks>The damping is found by Newton steps on its secular equation (Moré, The Levenberg–Marquardt algorithm: implementation and
/// theory, 1978; Hebden's update). Minimises |R s + q| subject to |D s| ≤ radius, within one tenth.</remarks>
internal static class TrustStep
{
    /// <summary>Room needed in <c>work</c> for m parameters.</summary>
    public static int Room(int m) => (2 * m * m) + (4 * m);

    /// <summary>Finds the step and the damping that gives it.</summary>
    /// <param name="r">Upper triangle, m × m, column by column.</param>
    /// <param name="q">First m entries of Qᵀ times the residuals.</param>
    /// <param name="d">Scale of each parameter, above zero.</param>
    /// <param name="radius">Radius of trust in scaled length, above zero.</param>
    /// <param name="damping">Damping of the step before; its square root multiplies D. Replaced by the one found.</param>
    /// <param name="step">The step, m entries.</param>
    /// <param name="work">Scratch of <see cref="Room"/> doubles.</param>
    public static void Find(
        ReadOnlySpan<double> r,
        ReadOnlySpan<double> q,
        ReadOnlySpan<double> d,
        double radius,
        ref double damping,
        Span<double> step,
        Span<double> work
    )
    {
        var m = q.Length;
        var stacked = work[..(2 * m * m)];
        var right = work.Slice(2 * m * m, 2 * m);
        var slope = work.Slice((2 * m * m) + (2 * m), m);
        var full = FullRank(r, m);
        var lower = 0.0;
        if (full)
        {
            Negated(q, step);
            SmallQr.Back(r, m, step, m);
            var length = ScaledLength(step, d);
            if (length <= 1.1 * radius)
            {
                damping = 0;
                return;
            }

            lower = (length - radius) / (radius * Squared(Direction(r, m, step, d, length, slope)));
        }

        var upper = GradientLength(r, q, d, m) / radius;
        if (upper == 0)
        {
            step.Clear();
            damping = 0;
            return;
        }

        damping = Math.Clamp(damping, lower, upper);
        if (damping == 0)
        {
            damping = Math.Max(1e-3 * upper, Math.Sqrt(lower * upper));
        }

        for (var round = 0; round < 12; round++)
        {
            Damped(r, q, d, Math.Sqrt(damping), m, stacked, right);
            right[..m].CopyTo(step);
            var length = ScaledLength(step, d);
            var excess = length - radius;
            if (Math.Abs(excess) <= 0.1 * radius || (lower == 0 && excess < 0 && damping <= 1e-300))
            {
                return;
            }

            if (excess > 0)
            {
                lower = Math.Max(lower, damping);
            }
            else
            {
                upper = Math.Min(upper, damping);
            }

            var correction = excess / (radius * Squared(Direction(stacked, 2 * m, step, d, length, slope)));
            damping = Math.Max(lower, damping + correction);
            if (damping >= upper && excess > 0)
            {
                damping = 0.5 * (lower + upper);
            }
        }
    }

    // Solves the damped problem by stacking √λ D under R.
    private static void Damped(
        ReadOnlySpan<double> r,
        ReadOnlySpan<double> q,
        ReadOnlySpan<double> d,
        double root,
        int m,
        Span<double> stacked,
        Span<double> right
    )
    {
        stacked.Clear();
        right.Clear();
        for (var j = 0; j < m; j++)
        {
            r.Slice(j * m, j + 1).CopyTo(stacked[(j * 2 * m)..]);
            stacked[(j * 2 * m) + m + j] = root * d[j];
            right[j] = -q[j];
        }

        SmallQr.Factor(stacked, right, 2 * m, m);
        SmallQr.Back(stacked, 2 * m, right, m);
    }

    // Length of S⁻ᵀ D² step / |D step|: how fast the length answers to the damping.
    private static double Direction(
        ReadOnlySpan<double> s,
        int stride,
        ReadOnlySpan<double> step,
        ReadOnlySpan<double> d,
        double length,
        Span<double> scratch
    )
    {
        for (var j = 0; j < step.Length; j++)
        {
            scratch[j] = d[j] * (d[j] * step[j] / length);
        }

        SmallQr.Forward(s, stride, scratch, step.Length);
        return SmallQr.Norm(scratch);
    }

    private static bool FullRank(ReadOnlySpan<double> r, int m)
    {
        for (var j = 0; j < m; j++)
        {
            var column = SmallQr.Norm(r.Slice(j * m, j + 1));
            if (Math.Abs(r[(j * m) + j]) <= 1e-15 * column || column == 0)
            {
                return false;
            }
        }

        return true;
    }

    private static double GradientLength(ReadOnlySpan<double> r, ReadOnlySpan<double> q, ReadOnlySpan<double> d, int m)
    {
        var sum = 0.0;
        for (var j = 0; j < m; j++)
        {
            var gradient = 0.0;
            for (var i = 0; i <= j; i++)
            {
                gradient += r[(j * m) + i] * q[i];
            }

            sum += Squared(gradient / d[j]);
        }

        return Math.Sqrt(sum);
    }

    private static double ScaledLength(ReadOnlySpan<double> step, ReadOnlySpan<double> d)
    {
        var sum = 0.0;
        for (var j = 0; j < step.Length; j++)
        {
            sum += Squared(d[j] * step[j]);
        }

        return Math.Sqrt(sum);
    }

    private static void Negated(ReadOnlySpan<double> source, Span<double> target)
    {
        for (var j = 0; j < source.Length; j++)
        {
            target[j] = -source[j];
        }
    }

    private static double Squared(double value) => value * value;
}
