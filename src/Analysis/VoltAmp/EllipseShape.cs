namespace LoadTest.Analysis.VoltAmp;

/// <summary>Quarter of an ellipse, traced by its angle: I = Is sin θ, V = E cos θ.</summary>
/// <remarks>A constant voltage behind a reactance feeding a resistance: (V/E)² + (I/Is)² = 1. E 80 V, Is 400 A: 48 V at 320 A.</remarks>
internal sealed class EllipseShape : CurveShape
{
    private const int NearestSteps = 60;

    public override int Count => 2;

    public override double[] Lower { get; } = [1e-300, 1e-300];

    public override double Distance(ReadOnlySpan<double> p, in Reading reading, ref double along, Span<double> gradient)
    {
        var (e, s) = (p[0], p[1]);
        if (reading.AmperesUncertainty == 0)
        {
            var ratio = reading.Amperes / s;
            var rest = 1 - (ratio * ratio);
            if (rest <= 0)
            {
                return double.NaN;
            }

            var root = Math.Sqrt(rest);
            along = Math.Asin(ratio);
            if (!gradient.IsEmpty)
            {
                gradient[0] = -root / reading.VoltsUncertainty;
                gradient[1] = -e * ratio * ratio / (s * root * reading.VoltsUncertainty);
            }

            return (reading.Volts - (e * root)) / reading.VoltsUncertainty;
        }

        along = Foot(p, reading);
        var (sin, cos) = Math.SinCos(along);
        var dx = (reading.Amperes - (s * sin)) / reading.AmperesUncertainty;
        var dy = (reading.Volts - (e * cos)) / reading.VoltsUncertainty;
        if (!gradient.IsEmpty)
        {
            // F = (I/Is)² + (V/E)² − 1 at the foot: F_E = −2 cos²/E, F_Is = −2 sin²/Is.
            var (fi, fv) = (2 * sin / s * reading.AmperesUncertainty, 2 * cos / e * reading.VoltsUncertainty);
            var steepness = Math.Sqrt((fi * fi) + (fv * fv));
            gradient[0] = -2 * cos * cos / (e * steepness);
            gradient[1] = -2 * sin * sin / (s * steepness);
        }

        var outside = (reading.Amperes / s * (reading.Amperes / s)) + (reading.Volts / e * (reading.Volts / e)) - 1;
        return Math.CopySign(Math.Sqrt((dx * dx) + (dy * dy)), outside);
    }

    public override TracedPoint At(
        double along,
        ReadOnlySpan<double> p,
        Span<double> amperesGradient,
        Span<double> voltsGradient
    )
    {
        var (sin, cos) = Math.SinCos(along);
        (amperesGradient[0], amperesGradient[1]) = (0, sin);
        (voltsGradient[0], voltsGradient[1]) = (cos, 0);
        return new TracedPoint(p[1] * sin, p[0] * cos, p[1] * cos, -p[0] * sin);
    }

    public override void GainEffect(ReadOnlySpan<double> p, bool ofVolts, Span<double> effect) =>
        (effect[0], effect[1]) = ofVolts ? (p[0], 0.0) : (0.0, p[1]);

    public override double Along(double amperes, double volts, ReadOnlySpan<double> p) =>
        Math.Atan2(amperes / p[1], volts / p[0]);

    public override (double Low, double High) Search(double measuredLow, double measuredHigh) =>
        (-0.1, (0.5 * Math.PI) + 0.1);

    private static double Foot(ReadOnlySpan<double> p, in Reading reading)
    {
        var (a, b) = (p[1] / reading.AmperesUncertainty, p[0] / reading.VoltsUncertainty);
        var (x, y) = (reading.Amperes / reading.AmperesUncertainty, reading.Volts / reading.VoltsUncertainty);
        var angle = Math.Atan2(x / a, y / b);
        var distance = Squares(a, b, x, y, angle);
        for (var k = 0; k < NearestSteps; k++)
        {
            var (sin, cos) = Math.SinCos(angle);
            var (tx, ty) = (a * cos, -b * sin);
            var step = (((x - (a * sin)) * tx) + ((y - (b * cos)) * ty)) / ((tx * tx) + (ty * ty));
            if (Math.Abs(step) <= 1e-12)
            {
                return angle + step;
            }

            for (var halving = 0; ; halving++)
            {
                var trial = Squares(a, b, x, y, angle + step);
                if (trial <= distance)
                {
                    (angle, distance) = (angle + step, trial);
                    break;
                }

                if (halving == 30)
                {
                    return angle;
                }

                step *= 0.5;
            }
        }

        return angle;
    }

    private static double Squares(double a, double b, double x, double y, double angle)
    {
        var (sin, cos) = Math.SinCos(angle);
        var (dx, dy) = (x - (a * sin), y - (b * cos));
        return (dx * dx) + (dy * dy);
    }
}
