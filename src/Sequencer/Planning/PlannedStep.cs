using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>One step of a plan; the closed set of kinds follows.</summary>
/// <param name="Number">Number in the plan, from 1.</param>
/// <param name="Title">What a person reads while it runs.</param>
/// <param name="Place">The profile step it comes from.</param>
public abstract record PlannedStep(int Number, string Title, Place Place);

/// <summary>What a person is asked in an <see cref="AskStep"/>.</summary>
public enum AskKind
{
    /// <summary>In order or not.</summary>
    Inspect,

    /// <summary>Yes or no.</summary>
    YesNo,

    /// <summary>A number measured by hand.</summary>
    Number,

    /// <summary>An adjustment is to be made, and said to be done.</summary>
    Adjust,
}

/// <summary>A step in which only a person acts; every element is off throughout.</summary>
/// <param name="Kind">What is asked.</param>
/// <param name="Unit">Unit of a number; <see cref="Unit.One"/> otherwise.</param>
/// <param name="Limit">Limit of a number; null when it is only recorded.</param>
public sealed record AskStep(int Number, string Title, AskKind Kind, Unit Unit, ResolvedLimit? Limit, Place Place)
    : PlannedStep(Number, Title, Place);

/// <summary>The second half of the gate: engine running, bank open, then a proving load.</summary>
/// <param name="Mode">Mode it is started in.</param>
/// <param name="OpenCircuit">Allowed open-circuit voltage, sign included.</param>
/// <param name="Proving">The proving load: setting, elements, predicted current and its allowed band.</param>
public sealed record EnergiseStepPlan(
    int Number,
    string Title,
    UnitMode Mode,
    Band OpenCircuit,
    BenchState Proving,
    Band ProvingCurrent,
    Place Place
) : PlannedStep(Number, Title, Place);

/// <summary>One measured point: a state of unit and bank, settled and averaged.</summary>
/// <param name="Group">Number of the group it belongs to.</param>
/// <param name="IndexInGroup">Index within the group, from 0.</param>
/// <param name="State">What unit and bank are brought to.</param>
/// <param name="Hold">Time the state is held after settling, before the readings count; zero for plain points.</param>
/// <param name="IsZeroReading">Whether it is a zero reading of the shunts (every element off).</param>
/// <param name="ReadPanel">Whether a person reads the panel meters here.</param>
/// <param name="Direction">+1 rising, −1 falling, 0 neither.</param>
public sealed record PointStep(
    int Number,
    string Title,
    int Group,
    int IndexInGroup,
    BenchState State,
    TimeSpan Hold,
    bool IsZeroReading,
    bool ReadPanel,
    int Direction,
    Place Place
) : PlannedStep(Number, Title, Place);

/// <summary>Cool-down: control to minimum, output disabled, elements off, fan on.</summary>
/// <param name="For">Least time.</param>
public sealed record CoolDownStepPlan(int Number, string Title, TimeSpan For, Place Place)
    : PlannedStep(Number, Title, Place);

/// <summary>A state of unit and bank, how it is reached, what is predicted there and when it trips.</summary>
/// <param name="Mode">Mode of the unit.</param>
/// <param name="Setting">Setting of the control, amperes or volts by characteristic.</param>
/// <param name="Elements">Elements on.</param>
/// <param name="Switching">Single operations from the previous planned state, in order; each the set after it.</param>
/// <param name="IsSettingFirst">Whether the setting is changed before the elements are.</param>
/// <param name="BankResistance">Resistance of the elements on; null when open.</param>
/// <param name="PredictedVolts">Predicted volts at the studs.</param>
/// <param name="PredictedAmperes">Predicted amperes.</param>
/// <param name="Model">The assumed model behind the prediction, in words.</param>
/// <param name="Trips">Trip limits of this state.</param>
public sealed record BenchState(
    UnitMode Mode,
    Quantity Setting,
    ElementSet Elements,
    ImmutableArray<ElementSet> Switching,
    bool IsSettingFirst,
    Ohms? BankResistance,
    Volts PredictedVolts,
    Amperes PredictedAmperes,
    string Model,
    TripLimits Trips
);

/// <summary>Inclusive bounds: inside unless NaN, below or above.</summary>
/// <param name="Lower">Lower bound; negative infinity when there is none.</param>
/// <param name="Upper">Upper bound; positive infinity when there is none.</param>
public readonly record struct Band(double Lower, double Upper)
{
    /// <summary>True only when the value lies inside; false for NaN, so absence of a number trips.</summary>
    public bool Contains(double value) => Lower <= value && value <= Upper;
}

/// <summary>Frozen limits of a state; the trip is "unless inside".</summary>
/// <param name="Volts">Allowed volts at the bank.</param>
/// <param name="Amperes">Allowed amperes.</param>
/// <param name="Conductance">Allowed amperes over volts, siemens, checked while the predicted amperes are flowing; null with the bank open.</param>
public sealed record TripLimits(Band Volts, Band Amperes, Band? Conductance);
