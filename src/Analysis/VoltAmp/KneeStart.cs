namespace LoadTest.Analysis.VoltAmp;

/// <summary>First guess of a knee: the best two straight branches over every way to part the points.</summary>
/// <remarks>Branches by total least squares in spans of each axis, so an upright branch is as good as a level one.</remarks>
internal static class KneeStart
{
    /// <summary>A knee guessed from points.</summary>
    /// <param name="Amperes">Current of the corner, A.</param>
    /// <param name="Volts">Voltage of the corner, V.</param>
    /// <param name="FirstAmperes">Direction of the branch towards open circuit, in spans.</param>
    /// <param name="FirstVolts">Direction of the branch towards open circuit, in spans.</param>
    /// <param name="SecondAmperes">Direction of the branch towards short circuit, in spans.</param>
    /// <param name="SecondVolts">Direction of the branch towards short circuit, in spans.</param>
    internal readonly record struct Corner(
        double Amperes,
        double Volts,
        double FirstAmperes,
        double FirstVolts,
        double SecondAmperes,
        double SecondVolts
    )
    {
        /// <summary>Whether the branches are better written as volts over amperes than the other way round.</summary>
        public bool IsLevel => Math.Abs(FirstVolts * SecondVolts) <= Math.Abs(FirstAmperes * SecondAmperes);
    }

    /// <summary>The corner, or null when the points bend nowhere.</summary>
    public static Corner? Find(ReadingSet set)
    {
        var n = set.Readings.Length;
        if (n < 4)
        {
            return null;
        }

        var (x, y) = Ordered(set);
        var sums = new Moments[n + 1];
        for (var i = 0; i < n; i++)
        {
            sums[i + 1] = sums[i].With(x[i], y[i]);
        }

        Corner? best = null;
        var least = double.PositiveInfinity;
        for (var split = 2; split <= n - 2; split++)
        {
            var first = sums[split].Axis(x[0], y[0], x[split - 1], y[split - 1]);
            var second = (sums[n] - sums[split]).Axis(x[split], y[split], x[n - 1], y[n - 1]);
            var turn = (first.Dx * second.Dy) - (first.Dy * second.Dx);
            var cost = first.Spread + second.Spread;
            if (turn >= -1e-9 || cost >= least)
            {
                continue;
            }

            least = cost;
            var along = (((second.X - first.X) * second.Dy) - ((second.Y - first.Y) * second.Dx)) / turn;
            best = new Corner(
                (first.X + (along * first.Dx)) * set.SpanAmperes,
                (first.Y + (along * first.Dy)) * set.SpanVolts,
                first.Dx,
                first.Dy,
                second.Dx,
                second.Dy
            );
        }

        return best;
    }

    /// <summary>Parameters of <see cref="BentLineShape"/> for a corner.</summary>
    public static double[] Parameters(in Corner corner, ReadingSet set, bool swapped, bool rounded)
    {
        var volts = set.SpanVolts;
        var amperes = set.SpanAmperes;
        double b;
        double c;
        double k;
        double height;
        double span;
        if (swapped)
        {
            var steep = Slope(corner.SecondAmperes, corner.SecondVolts) * amperes / volts;
            var level = Slope(corner.FirstAmperes, corner.FirstVolts) * amperes / volts;
            (b, c, k, height, span) = (-steep, steep - level, corner.Volts, corner.Amperes, volts);
        }
        else
        {
            var level = Slope(corner.FirstVolts, corner.FirstAmperes) * volts / amperes;
            var steep = Slope(corner.SecondVolts, corner.SecondAmperes) * volts / amperes;
            (b, c, k, height, span) = (-level, level - steep, corner.Amperes, corner.Volts, amperes);
        }

        var a = height + (b * k);
        c = Math.Max(c, 0);
        return rounded ? [a, b, c, k, 0.1 * span] : [a, b, c, k];
    }

    private static double Slope(double rise, double run) =>
        rise / (Math.Abs(run) < 1e-6 ? Math.CopySign(1e-6, run == 0 ? 1 : run) : run);

    // In order of the load's conductance, from open circuit to short circuit, in spans of each axis.
    private static (double[] X, double[] Y) Ordered(ReadingSet set)
    {
        var n = set.Readings.Length;
        var x = new double[n];
        var y = new double[n];
        var order = new double[n];
        for (var i = 0; i < n; i++)
        {
            x[i] = set.Readings[i].Amperes / set.SpanAmperes;
            y[i] = set.Readings[i].Volts / set.SpanVolts;
            order[i] = Math.Atan2(
                set.Readings[i].Amperes / Math.Max(Math.Abs(set.HighAmperes), set.SpanAmperes),
                set.Readings[i].Volts / Math.Max(Math.Abs(set.HighVolts), set.SpanVolts)
            );
        }

        var index = new int[n];
        for (var i = 0; i < n; i++)
        {
            index[i] = i;
        }

        Array.Sort(order, index);
        return (Picked(x, index), Picked(y, index));
    }

    private static double[] Picked(double[] values, int[] index)
    {
        var picked = new double[values.Length];
        for (var i = 0; i < picked.Length; i++)
        {
            picked[i] = values[index[i]];
        }

        return picked;
    }

    private readonly record struct Line(double X, double Y, double Dx, double Dy, double Spread);

    private readonly record struct Moments(int N, double X, double Y, double Xx, double Xy, double Yy)
    {
        public static Moments operator -(Moments a, Moments b) =>
            new(a.N - b.N, a.X - b.X, a.Y - b.Y, a.Xx - b.Xx, a.Xy - b.Xy, a.Yy - b.Yy);

        public Moments With(double x, double y) => new(N + 1, X + x, Y + y, Xx + (x * x), Xy + (x * y), Yy + (y * y));

        // Principal axis, pointing from the first point of the branch to its last.
        public Line Axis(double fromX, double fromY, double toX, double toY)
        {
            var (mx, my) = (X / N, Y / N);
            var (sxx, sxy, syy) = (Xx - (N * mx * mx), Xy - (N * mx * my), Yy - (N * my * my));
            var angle = 0.5 * Math.Atan2(2 * sxy, sxx - syy);
            var (dy, dx) = Math.SinCos(angle);
            if ((dx * (toX - fromX)) + (dy * (toY - fromY)) < 0)
            {
                (dx, dy) = (-dx, -dy);
            }

            var half = 0.5 * (sxx - syy);
            var spread = (0.5 * (sxx + syy)) - Math.Sqrt((half * half) + (sxy * sxy));
            return new Line(mx, my, dx, dy, Math.Max(0, spread));
        }
    }
}
