namespace LoadTest.Analysis.VoltAmp;

/// <summary>A ceiling that sinks with the engine's speed, V = (E − R I)/(1 + c I), alone or up to a current limit.</summary>
/// <remarks>A governor lets the speed fall in proportion to shaft power, and the ceiling with it: V = E (1 − d V I) − R I, so c = E d.
/// Parameters E, R, c; with a limit also the knee k on the running axis and how far the other axis falls per unit of it beyond the
/// knee. The same family whichever axis runs: I = (E − V)/(R + c V). E 72.6 V, R 0.118 Ω, c 0.0002 1/A: 48.77 V at 200 A.</remarks>
internal sealed class DroopShape(int count, bool swapped) : KneedShape(swapped)
{
    private const int NearestSteps = 40;

    private readonly bool _swapped = swapped;

    public override int Count => count;

    public override double[] Lower { get; } =
        count == 3
            ? [1e-300, double.NegativeInfinity, 0]
            : [1e-300, double.NegativeInfinity, 0, double.NegativeInfinity, double.NegativeInfinity];

    /// <summary>A ceiling that bends more than its slope at no current allows has no resistance left: that is no engine's droop.</summary>
    public override bool IsPossible(ReadOnlySpan<double> p) => p[1] > 0;

    // Volts (1 + e): E and R grow. Amperes (1 + e): R and c shrink. The limit branch as any line.
    public override void GainEffect(ReadOnlySpan<double> p, bool ofVolts, Span<double> effect)
    {
        (effect[0], effect[1], effect[2]) = ofVolts ? (p[0], p[1], 0.0) : (0.0, -p[1], -p[2]);
        if (count > KneeAt)
        {
            var ofHeight = ofVolts != _swapped;
            (effect[3], effect[4]) = ofHeight ? (0.0, p[4]) : (p[3], -p[4]);
        }
    }

    public override double Height(double x, ReadOnlySpan<double> p, out double slope)
    {
        if (IsOnCeiling(x, p))
        {
            return Ceiling(x, p, out slope);
        }

        slope = -p[4];
        return Ceiling(p[3], p, out _) - (p[4] * (x - p[3]));
    }

    public override double KneeHeight(ReadOnlySpan<double> p, Span<double> gradient)
    {
        gradient.Clear();
        var height = Ceiling(p[3], p, out var slope);
        OfCeiling(p[3], height, p, gradient);
        gradient[3] = slope;
        return height;
    }

    public override double SlopeBeyond(ReadOnlySpan<double> p, Span<double> gradient)
    {
        gradient.Clear();
        gradient[4] = -1;
        return -p[4];
    }

    private bool IsOnCeiling(double x, ReadOnlySpan<double> p) =>
        count == 3 || (_swapped ? x >= p[KneeAt] : x <= p[KneeAt]);

    private double Under(double x, ReadOnlySpan<double> p) =>
        Math.Max(_swapped ? p[1] + (p[2] * x) : 1 + (p[2] * x), 1e-12);

    private double Ceiling(double x, ReadOnlySpan<double> p, out double slope)
    {
        var under = Under(x, p);
        var y = (_swapped ? p[0] - x : p[0] - (p[1] * x)) / under;
        slope = -((_swapped ? 1 : p[1]) + (p[2] * y)) / under;
        return y;
    }

    private void OfCeiling(double x, double y, ReadOnlySpan<double> p, Span<double> gradient)
    {
        var under = Under(x, p);
        gradient[0] = 1 / under;
        gradient[1] = -(_swapped ? y : x) / under;
        gradient[2] = -x * y / under;
    }

    protected override void Gradient(double x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        if (IsOnCeiling(x, p))
        {
            gradient.Clear();
            OfCeiling(x, Ceiling(x, p, out _), p, gradient);
            return;
        }

        KneeHeight(p, gradient);
        gradient[3] += p[4];
        gradient[4] = -(x - p[3]);
    }

    protected override double Foot(ReadOnlySpan<double> p, double x, double y, double ux, double uy, double first)
    {
        var ceiling = FootOnCeiling(p, x, y, ux, uy);
        if (count == 3)
        {
            return ceiling;
        }

        var knee = p[KneeAt];
        var height = Ceiling(knee, p, out _);
        var limit = FootOnLine(height + (p[4] * knee), p[4], x, y, ux, uy);
        (ceiling, limit) = _swapped
            ? (Math.Max(ceiling, knee), Math.Min(limit, knee))
            : (Math.Min(ceiling, knee), Math.Max(limit, knee));
        var above = Squared((x - ceiling) / ux) + Squared((y - Ceiling(ceiling, p, out _)) / uy);
        var beyond = Squared((x - limit) / ux) + Squared((y - height + (p[4] * (limit - knee))) / uy);
        return above <= beyond ? ceiling : limit;
    }

    // Gauss–Newton along a branch that is nearly straight.
    private double FootOnCeiling(ReadOnlySpan<double> p, double x, double y, double ux, double uy)
    {
        var foot = x;
        var (wx, wy) = (1 / (ux * ux), 1 / (uy * uy));
        for (var k = 0; k < NearestSteps; k++)
        {
            var error = y - Ceiling(foot, p, out var slope);
            var step = ((error * slope * wy) + ((x - foot) * wx)) / ((slope * slope * wy) + wx);
            foot += step;
            if (!(Math.Abs(step) > 1e-9 * ux))
            {
                break;
            }
        }

        return foot;
    }
}
