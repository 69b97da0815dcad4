using LoadTest.Analysis.Settling;

namespace LoadTest.Analysis.Uncertainty;

/// <summary>How an input's uncertainty was evaluated.</summary>
public enum EvaluationKind
{
    /// <summary>From the scatter of repeated readings (JCGM 100:2008, 4.2).</summary>
    TypeA,

    /// <summary>From anything else: certificate, data sheet, experience (JCGM 100:2008, 4.3).</summary>
    TypeB,
}

/// <summary>One named input of a budget: value, standard uncertainty, shape, degrees of freedom, sensitivity.</summary>
/// <remarks>Built through its factories, which refuse NaN, infinities and negative uncertainties.</remarks>
public sealed record UncertaintyInput
{
    private UncertaintyInput(string name, double value, double standardUncertainty)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(name);
        Guard.Finite(value, name, "value");
        Guard.NotNegative(standardUncertainty, name, "standard uncertainty");
        Name = name;
        Value = value;
        StandardUncertainty = standardUncertainty;
    }

    /// <summary>Name of the line in the budget, for people; nothing is decided by it.</summary>
    public string Name { get; private init; }

    /// <summary>What the line comes from.</summary>
    public Component Component { get; init; }

    /// <summary>What makes this one error for every reading that names it: a meter's range, a shunt; empty when each reading has its own.</summary>
    /// <remarks>Two lines of one budget with the same component and the same of these are one error, correlated by +1 (JCGM 100:2008,
    /// 5.2.2, note 1). It is an identity, compared and never read.</remarks>
    public string SharedBy { get; init; } = "";

    /// <summary>Whether the same error stands behind other readings too.</summary>
    public bool IsShared => SharedBy.Length > 0;

    /// <summary>Best estimate of the input, in its own unit.</summary>
    public double Value { get; private init; }

    /// <summary>Standard uncertainty u, in the unit of the value, zero or more.</summary>
    public double StandardUncertainty { get; private init; }

    /// <summary>What <see cref="GivenAs"/> was divided by: k of a certificate, √3 of a rectangle, 1 of a u.</summary>
    public double Divisor { get; private init; } = 1;

    /// <summary>The uncertainty as it was given, before the divisor: U of a certificate, a half-width, or u.</summary>
    public double GivenAs => StandardUncertainty * Divisor;

    /// <summary>Shape of the knowledge.</summary>
    public Distribution Distribution { get; private init; }

    /// <summary>Type A or type B.</summary>
    public EvaluationKind Kind { get; private init; } = EvaluationKind.TypeB;

    /// <summary>Degrees of freedom of u, above zero; positive infinity when u is taken as exactly known.</summary>
    public double DegreesOfFreedom { get; private init; } = double.PositiveInfinity;

    /// <summary>Sensitivity ∂y/∂x for a linear budget, measurand's unit per input's unit, any sign.</summary>
    public double Sensitivity { get; private init; } = 1;

    /// <summary>Repeated readings behind a type A input, 0 when there are none: what more readings would shrink.</summary>
    public double Readings { get; private init; }

    /// <summary>Name of the instrument behind the input, for "which meter would decide it"; empty when none.</summary>
    public string Instrument { get; init; } = "";

    /// <summary>The same input under another name.</summary>
    /// <param name="name">Line of the budget.</param>
    public UncertaintyInput Named(string name)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(name);
        return this with { Name = name };
    }

    /// <summary>The same input in a unit this many times smaller, value and uncertainty alike: 1000 for volts to millivolts.</summary>
    /// <param name="factor">Finite, above zero.</param>
    public UncertaintyInput Scaled(double factor)
    {
        Guard.Positive(factor, Name, "factor");
        return this with { Value = Value * factor, StandardUncertainty = StandardUncertainty * factor };
    }

    /// <summary>The same input with another sensitivity.</summary>
    /// <param name="sensitivity">∂y/∂x, finite, any sign.</param>
    public UncertaintyInput With(double sensitivity) =>
        this with
        {
            Sensitivity = Guard.Finite(sensitivity, Name, "sensitivity"),
        };

    /// <summary>From a standard uncertainty known as such.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="value">Best estimate.</param>
    /// <param name="standardUncertainty">u, zero or more.</param>
    /// <param name="degreesOfFreedom">ν of u, above zero.</param>
    public static UncertaintyInput FromStandard(
        string name,
        double value,
        double standardUncertainty,
        double degreesOfFreedom = double.PositiveInfinity
    ) => new(name, value, standardUncertainty) { DegreesOfFreedom = Guard.Degrees(degreesOfFreedom, name) };

    /// <summary>From an expanded uncertainty and its coverage factor, as a certificate gives them.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="value">Best estimate.</param>
    /// <param name="expanded">U, zero or more.</param>
    /// <param name="coverageFactor">k, above zero.</param>
    /// <param name="degreesOfFreedom">ν of u, above zero.</param>
    /// <remarks>JCGM 100:2008, 4.3.3. Worked number: U = 0.002 V with k = 2 is u = 0.001 V.</remarks>
    public static UncertaintyInput FromExpanded(
        string name,
        double value,
        double expanded,
        double coverageFactor,
        double degreesOfFreedom = double.PositiveInfinity
    ) =>
        new(
            name,
            value,
            Guard.NotNegative(expanded, name, "expanded uncertainty")
                / Guard.Positive(coverageFactor, name, "coverage factor")
        )
        {
            Divisor = coverageFactor,
            DegreesOfFreedom = Guard.Degrees(degreesOfFreedom, name),
        };

    /// <summary>From limits ± half-width and the shape between them.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="value">Best estimate, the middle of the limits.</param>
    /// <param name="halfWidth">Half the distance between the limits, zero or more.</param>
    /// <param name="distribution">A shape with limits.</param>
    /// <param name="degreesOfFreedom">ν: how well the limits are known, (Δu/u)⁻²/2 by JCGM 100:2008, G.4.2.</param>
    public static UncertaintyInput FromHalfWidth(
        string name,
        double value,
        double halfWidth,
        Distribution distribution = Distribution.Rectangular,
        double degreesOfFreedom = double.PositiveInfinity
    )
    {
        if (distribution == Distribution.Normal)
            throw new ArgumentException(
                $"{name}: a normal distribution has no half-width. Give a standard or an expanded uncertainty.",
                nameof(distribution)
            );
        return new(name, value, Guard.NotNegative(halfWidth, name, "half-width") / distribution.Divisor())
        {
            Divisor = distribution.Divisor(),
            Distribution = distribution,
            DegreesOfFreedom = Guard.Degrees(degreesOfFreedom, name),
        };
    }

    /// <summary>From the last digit of a display or the finest division a person reads.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="step">Smallest step shown, zero or more.</param>
    /// <remarks>Rectangular of half a step, JCGM 100:2008, F.2.2.1: a step of 0.01 mV gives u = 0.0029 mV.</remarks>
    public static UncertaintyInput FromResolution(string name, double step) =>
        FromHalfWidth(name, value: 0, Guard.NotNegative(step, name, "step of the display") / 2) with
        {
            Component = Component.Resolution,
        };

    /// <summary>From repeated readings: mean and standard uncertainty of the mean under autocorrelation.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="readings">Readings in order of time, finite, at least two.</param>
    /// <exception cref="ArgumentException">The readings are too few or lean on each other too much to say.</exception>
    public static UncertaintyInput FromReadings(string name, ReadOnlySpan<double> readings) =>
        FromWindow(name, Averaging.Mean(readings));

    /// <summary>From an averaged window.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="window">A window whose readings can say how well they agree.</param>
    /// <exception cref="ArgumentException">The window's readings cannot say.</exception>
    public static UncertaintyInput FromWindow(string name, WindowMean window)
    {
        if (window.Estimate is not { } estimate)
            throw new ArgumentException(
                $"{name}: {window.Count} readings worth {window.EffectiveCount:0.#} independent ones cannot say how well they agree. Take more readings or wait longer between them.",
                nameof(window)
            );
        return new(name, estimate.Value, estimate.StandardUncertainty)
        {
            Component = Component.Repeatability,
            Kind = EvaluationKind.TypeA,
            DegreesOfFreedom = Guard.Degrees(estimate.DegreesOfFreedom, name),
            Readings = window.Count,
        };
    }

    /// <summary>From the scatter of a result already worked out, such as a fitted slope.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <param name="estimate">Value, u and ν.</param>
    /// <param name="readings">Readings behind it; 0 when more of them would not help.</param>
    public static UncertaintyInput FromScatter(string name, Estimate estimate, double readings = 0) =>
        new(name, estimate.Value, estimate.StandardUncertainty)
        {
            Component = Component.Repeatability,
            Kind = EvaluationKind.TypeA,
            DegreesOfFreedom = Guard.Degrees(estimate.DegreesOfFreedom, name),
            Readings = Guard.NotNegative(readings, name, "number of readings"),
        };
}
