namespace LoadTest.Analysis.Numerics;

/// <summary>Piecewise cubic through points that never turns between them.</summary>
/// <remarks>Slopes by Fritsch and Butland (1984), three-point ends kept in shape: between two points the curve stays between their
/// ordinates. Through (0, 0), (1, 1), (2, 4): 0.3125 at ½.</remarks>
internal sealed class MonotoneCubic
{
    private readonly double[] _x;
    private readonly double[] _y;
    private readonly double[] _slope;

    /// <summary>Curve through at least two points, abscissae rising strictly.</summary>
    public MonotoneCubic(double[] x, double[] y)
    {
        if (x.Length < 2 || x.Length != y.Length)
        {
            throw new ArgumentException(
                $"{x.Length} abscissae and {y.Length} ordinates: at least two points with both are needed.",
                nameof(x)
            );
        }

        for (var i = 1; i < x.Length; i++)
        {
            if (!(x[i] > x[i - 1]))
            {
                throw new ArgumentException(
                    $"Abscissa {i + 1} ({Figures.Of(x[i], 6)}) does not lie above the one before.",
                    nameof(x)
                );
            }
        }

        (_x, _y) = (x, y);
        _slope = Slopes(x, y);
    }

    /// <summary>Lowest abscissa.</summary>
    public double Low => _x[0];

    /// <summary>Highest abscissa.</summary>
    public double High => _x[^1];

    /// <summary>Value and slope at x; beyond the ends the end pieces go on.</summary>
    public double At(double x, out double slope)
    {
        var i = Array.BinarySearch(_x, x);
        i = Math.Clamp(i < 0 ? ~i - 1 : i, 0, _x.Length - 2);
        var h = _x[i + 1] - _x[i];
        var t = (x - _x[i]) / h;
        var (d0, d1) = (h * _slope[i], h * _slope[i + 1]);
        var rise = _y[i + 1] - _y[i];
        var c = (3 * rise) - (2 * d0) - d1;
        var d = d0 + d1 - (2 * rise);
        slope = (d0 + (t * ((2 * c) + (3 * d * t)))) / h;
        return _y[i] + (t * (d0 + (t * (c + (d * t)))));
    }

    private static double[] Slopes(double[] x, double[] y)
    {
        var n = x.Length;
        var h = new double[n - 1];
        var secant = new double[n - 1];
        for (var i = 0; i < n - 1; i++)
        {
            h[i] = x[i + 1] - x[i];
            secant[i] = (y[i + 1] - y[i]) / h[i];
        }

        var slope = new double[n];
        if (n == 2)
        {
            slope[0] = slope[1] = secant[0];
            return slope;
        }

        for (var i = 1; i < n - 1; i++)
        {
            var (before, after) = (secant[i - 1], secant[i]);
            if (before * after > 0)
            {
                var (w1, w2) = ((2 * h[i]) + h[i - 1], h[i] + (2 * h[i - 1]));
                slope[i] = (w1 + w2) / ((w1 / before) + (w2 / after));
            }
        }

        slope[0] = End(h[0], h[1], secant[0], secant[1]);
        slope[^1] = End(h[^1], h[^2], secant[^1], secant[^2]);
        return slope;
    }

    private static double End(double h0, double h1, double first, double second)
    {
        var slope = ((((2 * h0) + h1) * first) - (h0 * second)) / (h0 + h1);
        if (Math.Sign(slope) != Math.Sign(first))
        {
            return 0;
        }

        return Math.Sign(first) != Math.Sign(second) && Math.Abs(slope) > Math.Abs(3 * first) ? 3 * first : slope;
    }
}
