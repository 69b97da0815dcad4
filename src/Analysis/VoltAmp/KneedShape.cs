namespace LoadTest.Analysis.VoltAmp;

/// <summary>A ceiling branch, and where it has a knee a limit branch beyond it; volts over amperes or amperes over volts.</summary>
internal abstract class KneedShape(bool swapped) : CurveShape
{
    /// <summary>Place of the knee among the parameters, on the running axis.</summary>
    protected const int KneeAt = 3;

    /// <summary>Whether the running axis is volts.</summary>
    public bool IsSwapped => swapped;

    /// <summary>Whether there is a limit branch.</summary>
    public bool HasKnee => Count > KneeAt;

    /// <summary>Height of the knee and its derivatives by all parameters.</summary>
    public abstract double KneeHeight(ReadOnlySpan<double> p, Span<double> gradient);

    /// <summary>Slope of the limit branch on its axes and its derivatives by all parameters.</summary>
    public abstract double SlopeBeyond(ReadOnlySpan<double> p, Span<double> gradient);

    /// <summary>Value and slope at x.</summary>
    public abstract double Height(double x, ReadOnlySpan<double> p, out double slope);

    public override double Distance(ReadOnlySpan<double> p, in Reading reading, ref double along, Span<double> gradient)
    {
        var (x, y, ux, uy) = swapped
            ? (reading.Volts, reading.Amperes, reading.VoltsUncertainty, reading.AmperesUncertainty)
            : (reading.Amperes, reading.Volts, reading.AmperesUncertainty, reading.VoltsUncertainty);
        if (ux == 0)
        {
            along = x;
            return OverHeight(p, x, y, uy, gradient);
        }

        along = Foot(p, x, y, ux, uy, along);
        var error = y - Height(along, p, out var slope);
        if (!gradient.IsEmpty)
        {
            Gradient(along, p, gradient);
            Scale(gradient, -1 / Math.Sqrt((uy * uy) + (slope * slope * ux * ux)));
        }

        var (dx, dy) = ((x - along) / ux, error / uy);
        return Math.CopySign(Math.Sqrt((dx * dx) + (dy * dy)), error);
    }

    public override TracedPoint At(
        double along,
        ReadOnlySpan<double> p,
        Span<double> amperesGradient,
        Span<double> voltsGradient
    )
    {
        var y = Height(along, p, out var slope);
        if (swapped)
        {
            voltsGradient.Clear();
            Gradient(along, p, amperesGradient);
            return new TracedPoint(y, along, slope, 1);
        }

        amperesGradient.Clear();
        Gradient(along, p, voltsGradient);
        return new TracedPoint(along, y, 1, slope);
    }

    public override double Along(double amperes, double volts, ReadOnlySpan<double> p) => swapped ? volts : amperes;

    public override double AlongOfAmperes(double amperes) => swapped ? double.NaN : amperes;

    public override (double Low, double High) Search(double measuredLow, double measuredHigh)
    {
        var span = measuredHigh - measuredLow;
        return (Math.Min(0, measuredLow) - span, measuredHigh + (4096 * span));
    }

    /// <summary>The knee in the plane; null without one.</summary>
    public (double Amperes, double Volts)? Knee(ReadOnlySpan<double> p)
    {
        if (!HasKnee)
        {
            return null;
        }

        Span<double> scratch = stackalloc double[Count];
        var height = KneeHeight(p, scratch);
        return swapped ? (height, p[KneeAt]) : (p[KneeAt], height);
    }

    /// <summary>Derivatives of the height at x by all parameters.</summary>
    protected abstract void Gradient(double x, ReadOnlySpan<double> p, Span<double> gradient);

    /// <summary>Place on the running axis of the curve's point nearest to a reading, in its uncertainties.</summary>
    protected abstract double Foot(ReadOnlySpan<double> p, double x, double y, double ux, double uy, double first);

    /// <summary>Distance of a reading whose place on the running axis is exact, with its derivatives.</summary>
    protected virtual double OverHeight(ReadOnlySpan<double> p, double x, double y, double uy, Span<double> gradient)
    {
        if (!gradient.IsEmpty)
        {
            Gradient(x, p, gradient);
            Scale(gradient, -1 / uy);
        }

        return (y - Height(x, p, out _)) / uy;
    }

    protected static double FootOnLine(double a, double b, double x, double y, double ux, double uy)
    {
        var (vx, vy) = (ux * ux, uy * uy);
        return x - (b * vx * (y - a + (b * x)) / (vy + (b * b * vx)));
    }

    protected static double Squared(double value) => value * value;

    private static void Scale(Span<double> gradient, double factor)
    {
        foreach (ref var g in gradient)
        {
            g *= factor;
        }
    }
}
