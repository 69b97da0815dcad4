namespace LoadTest.Analysis.VoltAmp;

/// <summary>A family of curves in the volt-ampere plane, traced by one running coordinate.</summary>
internal abstract class CurveShape
{
    /// <summary>Number of parameters.</summary>
    public abstract int Count { get; }

    /// <summary>Lower bounds of the parameters.</summary>
    public abstract double[] Lower { get; }

    /// <summary>Distance of a reading from the curve in units of its own uncertainty, with derivatives; vertical when amperes are exact.</summary>
    /// <param name="p">Parameters.</param>
    /// <param name="reading">Amperes, volts and their uncertainties; the volts' one above zero.</param>
    /// <param name="along">Running coordinate of the nearest point; NaN on first use, refined on each.</param>
    /// <param name="gradient">Receives the derivatives of the distance; empty when not wanted.</param>
    /// <returns>Signed distance, or NaN where the curve has no point.</returns>
    public abstract double Distance(
        ReadOnlySpan<double> p,
        in Reading reading,
        ref double along,
        Span<double> gradient
    );

    /// <summary>Point of the curve at a running coordinate, with derivatives.</summary>
    /// <param name="along">Running coordinate.</param>
    /// <param name="p">Parameters.</param>
    /// <param name="amperesGradient">Receives ∂I/∂p at a fixed running coordinate.</param>
    /// <param name="voltsGradient">Receives ∂V/∂p at a fixed running coordinate.</param>
    public abstract TracedPoint At(
        double along,
        ReadOnlySpan<double> p,
        Span<double> amperesGradient,
        Span<double> voltsGradient
    );

    /// <summary>How the parameters answer to a common relative change of one axis's readings: ∂p/∂gain.</summary>
    public abstract void GainEffect(ReadOnlySpan<double> p, bool ofVolts, Span<double> effect);

    /// <summary>Running coordinate that belongs to a place in the plane.</summary>
    public abstract double Along(double amperes, double volts, ReadOnlySpan<double> p);

    /// <summary>Range of the running coordinate to search for crossings, from the range that was measured.</summary>
    public abstract (double Low, double High) Search(double measuredLow, double measuredHigh);

    /// <summary>Running coordinate of a current; NaN when it must be searched for.</summary>
    public virtual double AlongOfAmperes(double amperes) => double.NaN;

    /// <summary>Whether a source can have these parameters.</summary>
    public virtual bool IsPossible(ReadOnlySpan<double> p) => true;

    /// <summary>A reading as the kernels want it.</summary>
    internal readonly record struct Reading(
        double Amperes,
        double Volts,
        double AmperesUncertainty,
        double VoltsUncertainty
    );

    /// <summary>A point on the curve and its tangent.</summary>
    internal readonly record struct TracedPoint(double Amperes, double Volts, double AmperesRate, double VoltsRate);
}
