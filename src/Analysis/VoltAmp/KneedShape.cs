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

    protected static double FootOnLine(double a, double b, double x, double y, double ux, double uy)
    {
        var (vx, vy) = (ux * ux, uy * uy);
        return x - (b * vx * (y - a + (b * x)) / (vy + (b * b * vx)));
    }

    protected static double Squared(double value) => value * value;
}
