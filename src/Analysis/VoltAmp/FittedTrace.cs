namespace LoadTest.Analysis.VoltAmp;

/// <summary>A fitted shape met by lines, uncertainties carried from its parameters.</summary>
internal sealed class FittedTrace : ICurveTrace
{
    /// <summary>Fraction of the span of each axis that still counts as measured.</summary>
    public const double Margin = 0.01;

    private const int InnerKnots = 32;
    private const int OuterDoublings = 12;

    private readonly CurveFit _fit;
    private readonly CurveShape _shape;
    private readonly double[] _covariance;
    private readonly double _low;
    private readonly double _high;
    private readonly double _degrees;

    public FittedTrace(CurveFit fit)
    {
        _fit = fit;
        _shape = fit.Shape;
        _degrees = fit.UncertaintyDegrees;
        var p = _shape.Count;
        _covariance = new double[p * p];
        for (var i = 0; i < p; i++)
        {
            for (var j = 0; j < p; j++)
            {
                _covariance[(i * p) + j] = fit.Covariance(i, j);
            }
        }

        (_low, _high) = (double.PositiveInfinity, double.NegativeInfinity);
        foreach (var reading in fit.Set.Readings)
        {
            var along = _shape.Along(reading.Amperes, reading.Volts, fit.Parameters);
            (_low, _high) = (Math.Min(_low, along), Math.Max(_high, along));
        }
    }

    public Crossing? Meet(double alpha, double beta, double gamma)
    {
        var along = beta == 0 ? _shape.AlongOfAmperes(gamma / alpha) : double.NaN;
        if (double.IsNaN(along))
        {
            along = Search(alpha, beta, gamma);
        }

        return double.IsNaN(along) ? null : At(along, alpha, beta);
    }

    public Estimate? VoltsAt(double amperes)
    {
        var along = _shape.AlongOfAmperes(amperes);
        if (double.IsNaN(along))
        {
            return Meet(1, 0, amperes)?.Volts;
        }

        // The running coordinate is the current itself, so the volts' derivatives are those at a fixed current.
        var p = _shape.Count;
        Span<double> scratch = stackalloc double[2 * p];
        var volts = scratch[p..];
        var point = _shape.At(along, _fit.Parameters, scratch[..p], volts);
        return new Estimate(point.Volts, Math.Sqrt(Math.Max(0, Quadratic(volts, volts))), _degrees);
    }

    public Estimate? SlopeAt(double amperes)
    {
        if (Meet(1, 0, amperes) is null)
        {
            return null;
        }

        var p = _shape.Count;
        var parameters = (double[])_fit.Parameters.Clone();
        Span<double> gradient = stackalloc double[p];
        var slope = Slope(amperes, parameters);
        for (var j = 0; j < p; j++)
        {
            var u = Math.Sqrt(_covariance[(j * p) + j]);
            var step = u > 0 ? 0.01 * u : 0;
            if (step == 0)
            {
                continue;
            }

            var kept = parameters[j];
            parameters[j] = kept + step;
            var up = Slope(amperes, parameters);
            parameters[j] = kept - step;
            var down = Slope(amperes, parameters);
            parameters[j] = kept;
            gradient[j] = (up - down) / (2 * step);
        }

        var variance = Quadratic(gradient, gradient);
        return double.IsFinite(slope) && double.IsFinite(variance)
            ? new Estimate(slope, Math.Sqrt(Math.Max(0, variance)), _fit.UncertaintyDegrees)
            : null;
    }

    private double Slope(double amperes, double[] parameters)
    {
        var p = _shape.Count;
        Span<double> scratch = stackalloc double[2 * p];
        var along = _shape.AlongOfAmperes(amperes);
        if (double.IsNaN(along))
        {
            along = Search(1, 0, amperes, parameters);
        }

        var point = _shape.At(along, parameters, scratch[..p], scratch[p..]);
        return point.VoltsRate / point.AmperesRate;
    }

    public double VoltsCovariance(double firstAmperes, double secondAmperes)
    {
        var p = _shape.Count;
        Span<double> scratch = stackalloc double[4 * p];
        var first = scratch.Slice(p, p);
        var second = scratch[(3 * p)..];
        Sensitivities(Running(firstAmperes), 1, 0, scratch[..p], first);
        Sensitivities(Running(secondAmperes), 1, 0, scratch.Slice(2 * p, p), second);
        return Quadratic(first, second);
    }

    private double Running(double amperes)
    {
        var along = _shape.AlongOfAmperes(amperes);
        return double.IsNaN(along) ? Search(1, 0, amperes) : along;
    }

    private Crossing? At(double along, double alpha, double beta)
    {
        var p = _shape.Count;
        Span<double> amperes = stackalloc double[p];
        Span<double> volts = stackalloc double[p];
        var point = Sensitivities(along, alpha, beta, amperes, volts);
        var ui = Math.Sqrt(Math.Max(0, Quadratic(amperes, amperes)));
        var uv = Math.Sqrt(Math.Max(0, Quadratic(volts, volts)));
        if (!double.IsFinite(ui) || !double.IsFinite(uv))
        {
            return null;
        }

        return new Crossing(
            new Estimate(point.Amperes, ui, _degrees),
            new Estimate(point.Volts, uv, _degrees),
            Quadratic(amperes, volts),
            IsOutside(_fit.Set, point.Amperes, ui, point.Volts, uv)
        );
    }

    // Point of the curve on a line of direction (α, β), and how it moves with each parameter while staying on that line.
    private CurveShape.TracedPoint Sensitivities(
        double along,
        double alpha,
        double beta,
        Span<double> amperes,
        Span<double> volts
    )
    {
        var point = _shape.At(along, _fit.Parameters, amperes, volts);
        var rate = (alpha * point.AmperesRate) + (beta * point.VoltsRate);
        for (var j = 0; j < amperes.Length; j++)
        {
            var moved = -((alpha * amperes[j]) + (beta * volts[j])) / rate;
            amperes[j] += point.AmperesRate * moved;
            volts[j] += point.VoltsRate * moved;
        }

        return point;
    }

    /// <summary>Whether a point lies outside the measured ranges by more than the margin and three times its uncertainty.</summary>
    public static bool IsOutside(ReadingSet set, double amperes, double ui, double volts, double uv)
    {
        var (ma, mv) = (Math.Max(Margin * set.SpanAmperes, 3 * ui), Math.Max(Margin * set.SpanVolts, 3 * uv));
        ma = Math.Min(ma, 0.05 * set.SpanAmperes);
        mv = Math.Min(mv, 0.05 * set.SpanVolts);
        return amperes < set.LowAmperes - ma
            || amperes > set.HighAmperes + ma
            || volts < set.LowVolts - mv
            || volts > set.HighVolts + mv;
    }

    private double Quadratic(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var p = a.Length;
        var sum = 0.0;
        for (var i = 0; i < p; i++)
        {
            for (var j = 0; j < p; j++)
            {
                sum += a[i] * _covariance[(i * p) + j] * b[j];
            }
        }

        return sum;
    }

    private double Search(double alpha, double beta, double gamma) => Search(alpha, beta, gamma, _fit.Parameters);

    // Looks for a change of sign first where it was measured, then ever farther out on both sides.
    private double Search(double alpha, double beta, double gamma, double[] parameters)
    {
        var (edgeLow, edgeHigh) = _shape.Search(_low, _high);
        var step = (_high - _low) / InnerKnots;
        var line = (alpha, beta, gamma);
        var left = Excess(_low, line, parameters);
        for (var k = 1; k <= InnerKnots; k++)
        {
            var right = Excess(_low + (k * step), line, parameters);
            if (left == 0 || left < 0 != right < 0)
            {
                return Between(_low + ((k - 1) * step), _low + (k * step), line, parameters);
            }

            left = right;
        }

        var (down, up) = (_low, _high);
        var (atDown, atUp) = (Excess(down, line, parameters), left);
        for (var k = 0; k < OuterDoublings; k++)
        {
            step *= 2;
            var nextUp = Math.Min(edgeHigh, up + step);
            var right = Excess(nextUp, line, parameters);
            if (nextUp > up && atUp < 0 != right < 0)
            {
                return Between(up, nextUp, line, parameters);
            }

            var nextDown = Math.Max(edgeLow, down - step);
            var lower = Excess(nextDown, line, parameters);
            if (nextDown < down && atDown < 0 != lower < 0)
            {
                return Between(nextDown, down, line, parameters);
            }

            (up, atUp, down, atDown) = (nextUp, right, nextDown, lower);
        }

        return double.NaN;
    }

    private double Between(double low, double high, (double Alpha, double Beta, double Gamma) line, double[] parameters)
    {
        var rising = Excess(high, line, parameters) > 0;
        var x = 0.5 * (low + high);
        for (var k = 0; k < 100; k++)
        {
            var excess = Excess(x, line, parameters, out var rate);
            if (excess == 0)
            {
                return x;
            }

            (low, high) = excess > 0 == rising ? (low, x) : (x, high);
            var next = x - (excess / rate);
            if (!(next > low && next < high))
            {
                next = 0.5 * (low + high);
            }

            if (next == x || high - low <= 4e-16 * Math.Max(Math.Abs(low), Math.Abs(high)))
            {
                return next;
            }

            x = next;
        }

        return x;
    }

    private double Excess(double along, (double Alpha, double Beta, double Gamma) line, double[] parameters) =>
        Excess(along, line, parameters, out _);

    private double Excess(
        double along,
        (double Alpha, double Beta, double Gamma) line,
        double[] parameters,
        out double rate
    )
    {
        var p = _shape.Count;
        Span<double> scratch = stackalloc double[2 * p];
        var point = _shape.At(along, parameters, scratch[..p], scratch[p..]);
        rate = (line.Alpha * point.AmperesRate) + (line.Beta * point.VoltsRate);
        return (line.Alpha * point.Amperes) + (line.Beta * point.Volts) - line.Gamma;
    }
}
