using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>What the machine's control regulates.</summary>
public enum Characteristic
{
    /// <summary>The control sets amperes, the load sets volts.</summary>
    ConstantCurrent,

    /// <summary>The control sets volts, the load sets amperes.</summary>
    ConstantVoltage,

    /// <summary>Volts fall with current along a slope the control shifts.</summary>
    Drooping,
}

/// <summary>Which conventional load line a mode is rated on (IEC 60974-1).</summary>
public enum LoadLineName
{
    /// <summary>Covered electrode: 20 V + 0.04 V/A.</summary>
    CoveredElectrode,

    /// <summary>TIG: 10 V + 0.04 V/A.</summary>
    Tig,

    /// <summary>MIG/MAG: 14 V + 0.05 V/A.</summary>
    MigMag,
}

/// <summary>A unit's nameplate: what it claims, in the words of its plate and manual.</summary>
/// <param name="Name">Type designation.</param>
/// <param name="Kind">Kind of unit, matched with a profile's <c>for</c>.</param>
/// <param name="SerialNumber">Serial number when the file is of one unit; otherwise given with the run.</param>
/// <param name="Modes">Output modes, at least one.</param>
/// <param name="Shunt">The machine's own feedback shunt.</param>
/// <param name="Engine">Engine and its speeds.</param>
/// <param name="Auxiliary">Auxiliary AC output, if it has one.</param>
public sealed record Nameplate(
    string Name,
    string Kind,
    string? SerialNumber,
    ImmutableArray<UnitMode> Modes,
    UnitShunt Shunt,
    EngineRating Engine,
    AuxiliaryRating? Auxiliary,
    Place Place
);

/// <summary>One output mode of a unit.</summary>
/// <param name="Name">The mode's name in plain words, unique in the file.</param>
/// <param name="Characteristic">What the control regulates.</param>
/// <param name="LoadLine">The conventional load line it is rated on.</param>
/// <param name="RatedVolts">Rated load voltage.</param>
/// <param name="RatedAmperes">Rated load current.</param>
/// <param name="DutyCycle">On-load fraction of ten minutes at the rating, above 0 to 1.</param>
/// <param name="MinimumSetting">Lowest setting of the control: amperes for constant current and drooping, volts for constant voltage.</param>
/// <param name="MaximumSetting">Highest setting of the control, same unit.</param>
/// <param name="MinimumAmperes">Least current at which the mode works as described.</param>
/// <param name="LowestOpenCircuit">Least open-circuit voltage the plate or manual allows.</param>
/// <param name="HighestOpenCircuit">Highest open-circuit voltage; also the source's ceiling voltage for the control-lost case.</param>
/// <param name="CeilingAmperes">Most current the source can deliver with its control lost, into a short circuit.</param>
/// <param name="SettingTolerance">Assumed relative limits of set against delivered, a fraction, for predictions (rectangular).</param>
public sealed record UnitMode(
    string Name,
    Characteristic Characteristic,
    LoadLineName LoadLine,
    Volts RatedVolts,
    Amperes RatedAmperes,
    double DutyCycle,
    Quantity MinimumSetting,
    Quantity MaximumSetting,
    Amperes MinimumAmperes,
    Volts LowestOpenCircuit,
    Volts HighestOpenCircuit,
    Amperes CeilingAmperes,
    double SettingTolerance,
    Place Place
);

/// <summary>The machine's own feedback shunt.</summary>
/// <param name="RatedAmperes">Rated current.</param>
/// <param name="RatedVolts">Rated drop at that current (0.06 V for 60 mV).</param>
/// <param name="ClassIndex">Accuracy class index, percent of rated drop (IEC 60051-8); null when not marked.</param>
public sealed record UnitShunt(Amperes RatedAmperes, Volts RatedVolts, double? ClassIndex, Place Place)
{
    /// <summary>Rated ratio, V/A. 500 A / 60 mV is 0.00012 V/A, said 0.12 mV/A.</summary>
    public double RatedRatio => RatedVolts.Value / RatedAmperes.Value;
}

/// <summary>The engine and its speeds.</summary>
/// <param name="RatedSpeed">Speed under rated load, revolutions per minute.</param>
/// <param name="NoLoadSpeed">Speed without load, revolutions per minute.</param>
/// <param name="IdleSpeed">Declared idle-down speed; null when the engine does not idle down.</param>
/// <param name="IdleDownAfter">Time without load until it idles down; null with no idle-down.</param>
/// <param name="PickUp">Time from load to full speed; null with no idle-down.</param>
public sealed record EngineRating(
    double RatedSpeed,
    double NoLoadSpeed,
    double? IdleSpeed,
    TimeSpan? IdleDownAfter,
    TimeSpan? PickUp,
    Place Place
);

/// <summary>Auxiliary AC output.</summary>
/// <param name="Volts">Rated voltage, rms.</param>
/// <param name="Hertz">Rated frequency.</param>
/// <param name="Watts">Rated power.</param>
/// <param name="Phases">1 or 3.</param>
/// <param name="PerformanceClass">ISO 8528-5 class the plate claims, G1 to G3; null when it claims none.</param>
public sealed record AuxiliaryRating(
    Volts Volts,
    double Hertz,
    Watts Watts,
    int Phases,
    string? PerformanceClass,
    Place Place
)
{
    /// <summary>What the plate allows on both outputs together, in the order of the file; empty when it says nothing.</summary>
    public ImmutableArray<WeldAndAuxiliary> WithWeld { get; init; } = [];
}

/// <summary>One row of the plate's table of weld and auxiliary load together.</summary>
/// <param name="Weld">Weld current.</param>
/// <param name="Watts">Auxiliary power that may be drawn with it.</param>
public sealed record WeldAndAuxiliary(Amperes Weld, Watts Watts, Place Place);
