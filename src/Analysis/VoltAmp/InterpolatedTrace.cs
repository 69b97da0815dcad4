using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>A monotone cubic through the readings met by lines; it answers only between the outermost readings.</summary>
/// <remarks>Readings at equal abscissae are averaged by weight. Uncertainty by moving one reading at a time by its own and adding the
/// squares of what moves; infinite when no uncertainty was stated, because a curve through every point has no scatter to judge by.</remarks>
internal sealed class InterpolatedTrace : ICurveTrace
{
    private const int Knots = 64;

    private readonly ReadingSet _set;
    private readonly VoltAmpOptions _options;
    private readonly bool _swapped;
    private readonly double[] _x;
    private readonly double[] _y;
    private readonly double[] _u;
    private readonly MonotoneCubic _curve;

    public InterpolatedTrace(ReadingSet set, VoltAmpOptions options)
    {
        _options = options;
        _set = set;
        var level = Gathered(set, swapped: false);
        var upright = Gathered(set, swapped: true);
        _swapped =
            upright.X.Length > level.X.Length
            || (upright.X.Length == level.X.Length && LeastGap(upright.X) > LeastGap(level.X));
        (_x, _y, var ux, var uy) = _swapped ? upright : level;
        _curve = new MonotoneCubic(_x, _y);
        _u = new double[_x.Length];
        for (var i = 0; i < _u.Length; i++)
        {
            _curve.At(_x[i], out var slope);
            _u[i] = Math.Sqrt((uy[i] * uy[i]) + (slope * slope * ux[i] * ux[i]));
        }
    }

    public Crossing? Meet(double alpha, double beta, double gamma)
    {
        var (along, found) = Find(_curve, alpha, beta, gamma);
        if (!found)
        {
            return null;
        }

        var (amperes, volts) = Place(_curve, along);
        // Past a steep end a hair of one axis is a leap of the other.
        if (FittedTrace.IsOutside(_set, amperes, 0, volts, 0))
        {
            return null;
        }

        if (!_set.IsKnown)
        {
            return new Crossing(
                new Estimate(amperes, double.PositiveInfinity),
                new Estimate(volts, double.PositiveInfinity),
                0,
                IsExtrapolated: false
            );
        }

        var (ii, vv, iv) = (0.0, 0.0, 0.0);
        foreach (var (other, opposite) in Moved())
        {
            var (place, meets) = Find(other, alpha, beta, gamma);
            var seen = other;
            if (!meets)
            {
                seen = opposite;
                (place, meets) = Find(seen, alpha, beta, gamma);
            }

            if (meets)
            {
                var (a, v) = Place(seen, place);
                var (da, dv) = (a - amperes, v - volts);
                (ii, vv, iv) = (ii + (da * da), vv + (dv * dv), iv + (da * dv));
            }
        }

        var (between, across) = Between(along, amperes, volts, alpha, beta, gamma);
        (ii, vv, iv) = (ii + (between * between), vv + (across * across), iv + (between * across));
        return new Crossing(
            new Estimate(amperes, Math.Sqrt(ii)),
            new Estimate(volts, Math.Sqrt(vv)),
            iv,
            IsExtrapolated: false
        );
    }

    public Estimate? VoltsAt(double amperes) => Meet(1, 0, amperes)?.Volts;

    public Estimate? SlopeAt(double amperes)
    {
        var (along, found) = Find(_curve, 1, 0, amperes);
        if (!found)
        {
            return null;
        }

        _curve.At(along, out var slope);
        var value = _swapped ? 1 / slope : slope;
        return double.IsFinite(value) ? new Estimate(value, double.PositiveInfinity) : null;
    }

    // What may lie between two readings: a curve that bends one way stays between their chord and the chords before and after drawn
    // on, or the box of the two at an end. As far as the farthest of those from the place found, a rectangle: over √3.
    private (double Amperes, double Volts) Between(
        double along,
        double amperes,
        double volts,
        double alpha,
        double beta,
        double gamma
    )
    {
        var right = Array.FindIndex(_x, x => x >= along);
        right = right < 0 ? _x.Length - 1 : Math.Max(right, 1);
        var left = right - 1;
        var (farAmperes, farVolts, farthest) = (0.0, 0.0, 0.0);
        Try(left, right, 0, 0);
        Try(left - 1, left, 1, 0);
        Try(right, right + 1, 0, 1);
        var root = Math.Sqrt(3);
        return (farAmperes / root, farVolts / root);

        // The line through two readings, or the edge of the box where one of them is missing.
        void Try(int from, int to, double leftEdge, double rightEdge)
        {
            var isEdge = from < 0 || to >= _x.Length;
            var (x, y) = isEdge ? (leftEdge > 0 ? _x[left] : _x[right], 0.0) : (_x[from], _y[from]);
            var (dx, dy) = isEdge ? (0.0, 1.0) : (_x[to] - x, _y[to] - y);
            var (a, b) = _swapped ? (beta, alpha) : (alpha, beta);
            var rate = (a * dx) + (b * dy);
            var share = (gamma - (a * x) - (b * y)) / rate;
            var (crossX, crossY) = (x + (share * dx), y + (share * dy));
            var room = 1e-9 * (_x[right] - _x[left]);
            var (low, high) = (Math.Min(_y[left], _y[right]), Math.Max(_y[left], _y[right]));
            if (
                !(crossX >= _x[left] - room && crossX <= _x[right] + room)
                || !(crossY >= low - (1e-9 * (high - low)) && crossY <= high + (1e-9 * (high - low)))
            )
            {
                return;
            }

            var (da, dv) = _swapped ? (crossY - amperes, crossX - volts) : (crossX - amperes, crossY - volts);
            var distance = Math.Abs(da / _set.SpanAmperes) + Math.Abs(dv / _set.SpanVolts);
            if (distance > farthest)
            {
                (farAmperes, farVolts, farthest) = (da, dv, distance);
            }
        }
    }

    // The curve with one reading, or one axis's gain, moved by its uncertainty: up, and down for where up leads past the end.
    private IEnumerable<(MonotoneCubic Up, MonotoneCubic Down)> Moved()
    {
        for (var k = 0; k < _y.Length; k++)
        {
            var (up, down) = ((double[])_y.Clone(), (double[])_y.Clone());
            (up[k], down[k]) = (_y[k] + _u[k], _y[k] - _u[k]);
            yield return (new MonotoneCubic(_x, up), new MonotoneCubic(_x, down));
        }

        var (height, across) = _swapped
            ? (_options.CommonAmperesGain, _options.CommonVoltsGain)
            : (_options.CommonVoltsGain, _options.CommonAmperesGain);
        if (height > 0)
        {
            yield return (new MonotoneCubic(_x, Times(_y, 1 + height)), new MonotoneCubic(_x, Times(_y, 1 - height)));
        }

        if (across > 0)
        {
            yield return (new MonotoneCubic(Times(_x, 1 + across), _y), new MonotoneCubic(Times(_x, 1 - across), _y));
        }
    }

    private static double[] Times(double[] values, double factor) => Array.ConvertAll(values, v => v * factor);

    public double VoltsCovariance(double firstAmperes, double secondAmperes) => 0;

    private (double Amperes, double Volts) Place(MonotoneCubic curve, double along)
    {
        var y = curve.At(along, out _);
        return _swapped ? (y, along) : (along, y);
    }

    private (double Along, bool Found) Find(MonotoneCubic curve, double alpha, double beta, double gamma)
    {
        var margin = FittedTrace.Margin * (curve.High - curve.Low);
        if (beta == 0 && !_swapped)
        {
            var wanted = gamma / alpha;
            return (wanted, wanted >= curve.Low - margin && wanted <= curve.High + margin);
        }

        var (low, high) = (curve.Low - margin, curve.High + margin);
        var left = Excess(curve, low, alpha, beta, gamma);
        var step = (high - low) / Knots;
        for (var k = 1; k <= Knots; k++)
        {
            var right = Excess(curve, low + (k * step), alpha, beta, gamma);
            if (left == 0 || left < 0 != right < 0)
            {
                return (Bisect(curve, low + ((k - 1) * step), low + (k * step), alpha, beta, gamma), true);
            }

            left = right;
        }

        return (0, false);
    }

    private double Bisect(MonotoneCubic curve, double low, double high, double alpha, double beta, double gamma)
    {
        var rising = Excess(curve, high, alpha, beta, gamma) > 0;
        while (true)
        {
            var middle = 0.5 * (low + high);
            if (middle <= low || middle >= high)
            {
                return middle;
            }

            (low, high) = Excess(curve, middle, alpha, beta, gamma) > 0 == rising ? (low, middle) : (middle, high);
        }
    }

    private double Excess(MonotoneCubic curve, double along, double alpha, double beta, double gamma)
    {
        var (amperes, volts) = Place(curve, along);
        return (alpha * amperes) + (beta * volts) - gamma;
    }

    private static double LeastGap(double[] x)
    {
        var least = double.PositiveInfinity;
        for (var i = 1; i < x.Length; i++)
        {
            least = Math.Min(least, x[i] - x[i - 1]);
        }

        return least / (x[^1] - x[0]);
    }

    private static (double[] X, double[] Y, double[] Ux, double[] Uy) Gathered(ReadingSet set, bool swapped)
    {
        var span = swapped ? set.SpanVolts : set.SpanAmperes;
        var rows = set
            .Readings.Select(r =>
                swapped
                    ? (X: r.Volts, Y: r.Amperes, Ux: r.VoltsUncertainty, Uy: r.AmperesUncertainty)
                    : (X: r.Amperes, Y: r.Volts, Ux: r.AmperesUncertainty, Uy: r.VoltsUncertainty)
            )
            .OrderBy(r => r.X)
            .ThenBy(r => r.Y)
            .ToList();
        var groups = new List<List<(double X, double Y, double Ux, double Uy)>>();
        foreach (var row in rows)
        {
            if (groups.Count > 0 && row.X - groups[^1][0].X <= 1e-3 * span)
            {
                groups[^1].Add(row);
            }
            else
            {
                groups.Add([row]);
            }
        }

        return (
            [.. groups.Select(g => g.Average(r => r.X))],
            [.. groups.Select(g => g.Average(r => r.Y))],
            [.. groups.Select(g => Math.Sqrt(g.Sum(r => r.Ux * r.Ux)) / g.Count)],
            [.. groups.Select(g => Math.Sqrt(g.Sum(r => r.Uy * r.Uy)) / g.Count)]
        );
    }
}
