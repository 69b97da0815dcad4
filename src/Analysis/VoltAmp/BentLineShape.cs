namespace LoadTest.Analysis.VoltAmp;

/// <summary>One straight branch, or two joined by a sharp or rounded corner; volts over amperes or amperes over volts.</summary>
/// <remarks>y = a − b x − (c/2) (t + √(t² + w²)) with t = x − k: a hyperbola with asymptotes y = a − b x and y = a − b x − c t, their
/// crossing at x = k. The same family of curves whichever axis is x. w = 0 is the sharp corner; without c, k, w a straight line.
/// a 60 V, b 0.02 V/A, c 1 V/A, k 250 A, w 0: 54 V at 300 A less 50 V, so 4 V.</remarks>
internal sealed class BentLineShape(int count, bool swapped) : KneedShape(swapped)
{
    private const int NearestSteps = 40;

    private readonly bool _swapped = swapped;

    public override int Count => count;

    public override double[] Lower { get; } =
        count switch
        {
            2 => [double.NegativeInfinity, double.NegativeInfinity],
            4 => [double.NegativeInfinity, double.NegativeInfinity, 0, double.NegativeInfinity],
            _ => [double.NegativeInfinity, double.NegativeInfinity, 0, double.NegativeInfinity, 0],
        };

    // y (1 + e): a, b, c grow. x (1 + e): k, w grow and b, c shrink.
    public override void GainEffect(ReadOnlySpan<double> p, bool ofVolts, Span<double> effect)
    {
        var ofHeight = ofVolts != _swapped;
        for (var j = 0; j < count; j++)
        {
            effect[j] = j switch
            {
                0 => ofHeight ? p[0] : 0,
                1 or 2 => ofHeight ? p[j] : -p[j],
                _ => ofHeight ? 0 : p[j],
            };
        }
    }

    public override double Height(double x, ReadOnlySpan<double> p, out double slope)
    {
        if (count == 2)
        {
            slope = -p[1];
            return p[0] - (p[1] * x);
        }

        var t = x - p[3];
        var w = count == 5 ? p[4] : 0;
        var root = Math.Sqrt((t * t) + (w * w));
        slope = -p[1] - (0.5 * p[2] * (1 + (root == 0 ? 0 : t / root)));
        return p[0] - (p[1] * x) - (0.5 * p[2] * (t + root));
    }

    // y = a − b k at x = k.
    public override double KneeHeight(ReadOnlySpan<double> p, Span<double> gradient)
    {
        gradient.Clear();
        (gradient[0], gradient[1], gradient[3]) = (1, -p[3], -p[1]);
        return p[0] - (p[1] * p[3]);
    }

    // Over volts the limit branch comes first, at few volts; over amperes last.
    public override double SlopeBeyond(ReadOnlySpan<double> p, Span<double> gradient)
    {
        gradient.Clear();
        gradient[1] = -1;
        if (_swapped)
        {
            return -p[1];
        }

        gradient[2] = -1;
        return -p[1] - p[2];
    }

    protected override void Gradient(double x, ReadOnlySpan<double> p, Span<double> gradient) =>
        Scaled(x, p, out _, gradient, 1);

    // Value and slope at x, derivatives times a factor: one square root for all of them.
    private double Scaled(double x, ReadOnlySpan<double> p, out double slope, Span<double> gradient, double factor)
    {
        if (count == 2)
        {
            (gradient[0], gradient[1]) = (factor, -x * factor);
            slope = -p[1];
            return p[0] - (p[1] * x);
        }

        var t = x - p[3];
        var w = count == 5 ? p[4] : 0;
        var root = Math.Sqrt((t * t) + (w * w));
        var inverse = root == 0 ? 0 : 1 / root;
        var share = 0.5 * (1 + (t * inverse));
        var half = 0.5 * (t + root);
        gradient[3] = p[2] * share * factor;
        gradient[2] = -half * factor;
        gradient[1] = -x * factor;
        gradient[0] = factor;
        if (count == 5)
        {
            gradient[4] = -0.5 * p[2] * w * inverse * factor;
        }

        slope = -p[1] - (p[2] * share);
        return p[0] - (p[1] * x) - (p[2] * half);
    }

    // One square root for value and derivatives.
    protected override double OverHeight(
        ReadOnlySpan<double> p,
        double x,
        double y,
        double uy,
        Span<double> gradient
    ) => (y - (gradient.IsEmpty ? Height(x, p, out _) : Scaled(x, p, out _, gradient, -1 / uy))) / uy;

    protected override double Foot(ReadOnlySpan<double> p, double x, double y, double ux, double uy, double first) =>
        count switch
        {
            2 => FootOnLine(p[0], p[1], x, y, ux, uy),
            4 => FootOnCorner(p, x, y, ux, uy),
            _ => FootOnCurve(p, x, y, ux, uy, first),
        };

    private static double FootOnCorner(ReadOnlySpan<double> p, double x, double y, double ux, double uy)
    {
        var left = Math.Min(FootOnLine(p[0], p[1], x, y, ux, uy), p[3]);
        var right = Math.Max(FootOnLine(p[0] + (p[2] * p[3]), p[1] + p[2], x, y, ux, uy), p[3]);
        var before = Squared((x - left) / ux) + Squared((y - p[0] + (p[1] * left)) / uy);
        var after = Squared((x - right) / ux) + Squared((y - p[0] + (p[1] * right) + (p[2] * (right - p[3]))) / uy);
        return before <= after ? left : right;
    }

    // Gauss–Newton along the curve, each step halved until the distance shrinks.
    private double FootOnCurve(ReadOnlySpan<double> p, double x, double y, double ux, double uy, double first)
    {
        var foot = double.IsFinite(first) ? first : x;
        var (wx, wy) = (1 / (ux * ux), 1 / (uy * uy));
        var error = y - Height(foot, p, out var slope);
        var distance = (error * error * wy) + Squared(x - foot) * wx;
        for (var k = 0; k < NearestSteps; k++)
        {
            var step = ((error * slope * wy) + ((x - foot) * wx)) / ((slope * slope * wy) + wx);
            if (Math.Abs(step) <= 1e-9 * ux)
            {
                return foot + step;
            }

            for (var halving = 0; ; halving++)
            {
                var trial = foot + step;
                var trialError = y - Height(trial, p, out var trialSlope);
                var trialDistance = (trialError * trialError * wy) + (Squared(x - trial) * wx);
                if (trialDistance <= distance)
                {
                    (foot, error, slope, distance) = (trial, trialError, trialSlope, trialDistance);
                    break;
                }

                if (halving == 30)
                {
                    return foot;
                }

                step *= 0.5;
            }
        }

        return foot;
    }
}
