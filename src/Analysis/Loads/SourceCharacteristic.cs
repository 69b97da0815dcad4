using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>How volts and amperes of the unit follow from the conductance on its studs; volts never rise with load.</summary>
/// <param name="Ceiling">Highest volts it can put out should its control be lost; what elements have to survive.</param>
public abstract record SourceCharacteristic(Volts Ceiling)
{
    /// <summary>Name in the trade's words, for messages.</summary>
    public abstract string Name { get; }

    /// <summary>Volts on a load of this resistance; positive infinity stands for an open bank.</summary>
    public Volts VoltsOn(Ohms load) => new(VoltsAt(1 / Loaded(load)));

    /// <summary>Amperes into a load of this resistance; zero into an open bank.</summary>
    public Amperes AmperesInto(Ohms load) => new(VoltsAt(1 / Loaded(load)) / Loaded(load));

    /// <summary>Whether the control, not a limit, sets the output on this resistance.</summary>
    public bool RegulatesOn(Ohms load) => RegulatesAt(1 / Loaded(load));

    /// <summary>Volts at a conductance in S, zero for an open bank.</summary>
    internal abstract double VoltsAt(double siemens);

    /// <summary>Whether the control sets the output at this conductance.</summary>
    internal abstract bool RegulatesAt(double siemens);

    /// <summary>Least conductance at which the output is no higher than these volts; zero when it never is.</summary>
    internal abstract double SiemensHolding(double volts);

    /// <summary>Most conductance at which the output is no more than these amperes; infinity when it never is.</summary>
    internal abstract double SiemensWithin(double amperes);

    /// <summary>Refuses what is not a finite number above zero.</summary>
    protected static void Require(string what, double value, string unit, bool infinityAllowed = false)
    {
        if (!(value > 0) || !(Given.IsNumber(value) || (infinityAllowed && double.IsPositiveInfinity(value))))
        {
            throw new ArgumentException(
                $"Source: {what} is {Figures.Of(value, 6)} {unit}. It has to be above zero and finite."
            );
        }
    }

    private static double Loaded(Ohms load)
    {
        if (!(load.Value > 0))
        {
            throw new ArgumentException(
                $"A load of {Figures.With(load.Value, "Ω")} was given. It has to be above zero."
            );
        }

        return load.Value;
    }
}

/// <summary>The control sets amperes and the load sets volts, up to the ceiling.</summary>
/// <remarks>U = min(ceiling, I/G). 300 A on 0.1 Ω with a ceiling of 80 V: 30 V; on 0.5 Ω: 80 V.</remarks>
public sealed record ConstantCurrent : SourceCharacteristic
{
    /// <summary>A source that holds <paramref name="set"/> as long as that takes no more than <paramref name="ceiling"/>.</summary>
    public ConstantCurrent(Amperes set, Volts ceiling)
        : base(ceiling)
    {
        Require("set current", set.Value, "A");
        Require("ceiling voltage", ceiling.Value, "V");
        Set = set;
    }

    /// <summary>Current the control holds.</summary>
    public Amperes Set { get; }

    /// <inheritdoc/>
    public override string Name => "constant current";

    internal override double VoltsAt(double siemens) => Math.Min(Ceiling.Value, Set.Value / siemens);

    internal override bool RegulatesAt(double siemens) => Set.Value <= Ceiling.Value * siemens;

    internal override double SiemensHolding(double volts) => volts >= Ceiling.Value ? 0 : Set.Value / volts;

    internal override double SiemensWithin(double amperes) =>
        amperes >= Set.Value ? double.PositiveInfinity : amperes / Ceiling.Value;
}

/// <summary>The control sets volts and the load sets amperes, up to the current limit.</summary>
/// <remarks>U = U_set while U_set·G ≤ limit, else limit/G. 28 V, limit 400 A, on 0.1 Ω: 280 A.</remarks>
public sealed record ConstantVoltage : SourceCharacteristic
{
    /// <summary>A source that holds <paramref name="set"/> up to <paramref name="limit"/>.</summary>
    /// <param name="set">Volts the control holds.</param>
    /// <param name="limit">Current limit; positive infinity when none is known.</param>
    /// <param name="ceiling">Highest volts with the control lost, not below the set volts.</param>
    public ConstantVoltage(Volts set, Amperes limit, Volts ceiling)
        : base(ceiling)
    {
        Require("set voltage", set.Value, "V");
        Require("current limit", limit.Value, "A", infinityAllowed: true);
        Require("ceiling voltage", ceiling.Value, "V");
        if (ceiling < set)
        {
            throw new ArgumentException(
                $"Source: the ceiling {ceiling} is below the set voltage {set}. The ceiling is the most it can put out."
            );
        }

        Set = set;
        Limit = limit;
    }

    /// <summary>Volts the control holds.</summary>
    public Volts Set { get; }

    /// <summary>Current the source does not exceed.</summary>
    public Amperes Limit { get; }

    /// <inheritdoc/>
    public override string Name => "constant voltage";

    internal override double VoltsAt(double siemens) =>
        Set.Value * siemens <= Limit.Value ? Set.Value : Limit.Value / siemens;

    internal override bool RegulatesAt(double siemens) => Set.Value * siemens <= Limit.Value;

    internal override double SiemensHolding(double volts) => volts >= Set.Value ? 0 : Limit.Value / volts;

    internal override double SiemensWithin(double amperes) =>
        amperes >= Limit.Value ? double.PositiveInfinity : amperes / Set.Value;
}

/// <summary>Volts fall along a straight line from the open-circuit voltage as amperes rise.</summary>
/// <remarks>U = OCV − r·I = OCV/(1 + r·G). 80 V with 0.16 Ω (16 V/100 A) on 0.1067 Ω: 32 V, 300 A.</remarks>
public sealed record Drooping : SourceCharacteristic
{
    /// <summary>A source with this open-circuit voltage and slope.</summary>
    /// <param name="openCircuit">Volts with the bank open; the ceiling as well.</param>
    /// <param name="slope">Fall of volts for each ampere, Ω; 0.16 Ω is 16 V/100 A.</param>
    public Drooping(Volts openCircuit, Ohms slope)
        : base(openCircuit)
    {
        Require("open-circuit voltage", openCircuit.Value, "V");
        Require("slope", slope.Value, "Ω");
        Slope = slope;
    }

    /// <summary>Fall of volts for each ampere.</summary>
    public Ohms Slope { get; }

    /// <inheritdoc/>
    public override string Name => "drooping";

    internal override double VoltsAt(double siemens) => Ceiling.Value / (1 + Slope.Value * siemens);

    internal override bool RegulatesAt(double siemens) => true;

    internal override double SiemensHolding(double volts) =>
        volts >= Ceiling.Value ? 0 : (Ceiling.Value / volts - 1) / Slope.Value;

    internal override double SiemensWithin(double amperes) =>
        Slope.Value * amperes >= Ceiling.Value
            ? double.PositiveInfinity
            : amperes / (Ceiling.Value - Slope.Value * amperes);
}
