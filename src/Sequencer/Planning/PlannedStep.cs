using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Profiles;
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
/// <param name="Meter">The meter a number is read with; null when no instrument of the bench is named.</param>
public sealed record AskStep(
    int Number,
    string Title,
    AskKind Kind,
    Unit Unit,
    ResolvedLimit? Limit,
    HandReading? Meter,
    Place Place
) : PlannedStep(Number, Title, Place);

/// <summary>A meter without a wire, as one step uses it.</summary>
/// <param name="Instrument">The instrument of the bench.</param>
/// <param name="Input">Its input, in the unit of the step.</param>
public sealed record HandReading(BenchInstrument Instrument, InputDefinition Input)
{
    /// <summary>What its display can show.</summary>
    public Display Display => new(Input.Range, Input.Resolution);
}

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
/// <param name="Duration">Expected time: switching, settling at its usual length, hold and readings; a person answers at once.</param>
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
    TimeSpan Duration,
    Place Place
) : PlannedStep(Number, Title, Place)
{
    /// <summary>How the load goes on and off, of a heat run; null otherwise.</summary>
    public HeatPlan? Heat { get; init; }

    /// <summary>What comes before the sudden load and how it is sampled, of a transient; null otherwise.</summary>
    public TransientPlan? Transient { get; init; }
}

/// <summary>A heat run: the point's own state is the on part.</summary>
/// <param name="DutyCycle">On-load part of ten minutes; null for load without a break.</param>
/// <param name="OffPart">What is done in the off part.</param>
/// <param name="Off">State of the off part, reached from the on part; null without one.</param>
/// <param name="Again">The on part as reached from the off part; null without one.</param>
/// <param name="AtMost">When it ends at the latest.</param>
/// <param name="Equilibrium">When it may end before; null when it runs its whole time.</param>
public sealed record HeatPlan(
    double? DutyCycle,
    OffPart OffPart,
    BenchState? Off,
    BenchState? Again,
    TimeSpan AtMost,
    EquilibriumRule? Equilibrium
);

/// <summary>A sudden load: the point's own state is what it leads to.</summary>
/// <param name="From">State before.</param>
/// <param name="Channel">Index of the channel that is sampled fast.</param>
/// <param name="Every">Time between samples.</param>
/// <param name="After">How long it is sampled after the change.</param>
/// <param name="Band">Half-width of the steady band in the sampled unit.</param>
/// <param name="Rated">Rated volts or amperes, whichever is sampled: what dip and overshoot are counted over.</param>
public sealed record TransientPlan(
    BenchState From,
    int Channel,
    TimeSpan Every,
    TimeSpan After,
    double Band,
    double Rated
)
{
    /// <summary>Sampled before the change for so long.</summary>
    public static readonly TimeSpan Before = TimeSpan.FromSeconds(0.6);
}

/// <summary>Cool-down: control to minimum, output disabled, elements off, fan on.</summary>
/// <param name="For">Least time.</param>
public sealed record CoolDownStepPlan(int Number, string Title, TimeSpan For, Place Place)
    : PlannedStep(Number, Title, Place)
{
    /// <summary>Temperatures it waits for beside the time.</summary>
    public ImmutableArray<CoolTo> To { get; init; } = [];

    /// <summary>When it gives up waiting for them.</summary>
    public TimeSpan? AtMost { get; init; }
}

/// <summary>In which order control and elements change on the way to a state; elements always move at the lower setting.</summary>
public enum TransitionOrder
{
    /// <summary>The control goes to its new setting, then elements are switched.</summary>
    SettingFirst,

    /// <summary>Elements are switched, then the control goes to its new setting.</summary>
    ElementsFirst,

    /// <summary>The control goes to its minimum, elements are switched, then the control goes to its new setting.</summary>
    ThroughMinimum,
}

/// <summary>A state of unit and bank, how it is reached, what is predicted there and when it trips.</summary>
/// <param name="Mode">Mode of the unit.</param>
/// <param name="Setting">Setting of the control, amperes or volts by characteristic.</param>
/// <param name="Elements">Elements on.</param>
/// <param name="Switching">Single operations from the previous planned state, in order; each the set after it. Empty when nothing is switched.</param>
/// <param name="Order">In which order control and elements change.</param>
/// <param name="BankResistance">Resistance of the elements on; null when open.</param>
/// <param name="PredictedVolts">Predicted volts at the studs.</param>
/// <param name="PredictedAmperes">Predicted amperes.</param>
/// <param name="Model">The assumed model behind the prediction, in words.</param>
/// <param name="ControlLost">What the bank carries should the unit's control be lost here; null when open.</param>
/// <param name="Trips">Trip limits of this state, once it is reached.</param>
/// <param name="Passing">Trip limits on the way to it, while control or elements move.</param>
public sealed record BenchState(
    UnitMode Mode,
    Quantity Setting,
    ElementSet Elements,
    ImmutableArray<ElementSet> Switching,
    TransitionOrder Order,
    Ohms? BankResistance,
    Volts PredictedVolts,
    Amperes PredictedAmperes,
    string Model,
    ControlLostCase? ControlLost,
    TripLimits Trips,
    TripLimits Passing
)
{
    /// <summary>AC elements on, in the controller's own numbering; none where the auxiliary output is not loaded.</summary>
    public ElementSet Auxiliary { get; init; }

    /// <summary>Everything on: <see cref="Elements"/> and <see cref="Auxiliary"/>; so are the sets of <see cref="Switching"/>.</summary>
    public ElementSet All => Elements.Union(Auxiliary);

    /// <summary>Predicted auxiliary power at the rated voltage; zero without auxiliary load.</summary>
    public Watts AuxiliaryPower { get; init; }

    /// <summary>Predicted heat of the DC elements; zero when open.</summary>
    public Watts BankPower =>
        BankResistance is { } ohms ? new(PredictedAmperes.Value * PredictedAmperes.Value * ohms.Value) : default;
}

/// <summary>What the bank carries from the moment the unit's control is lost until the load is off.</summary>
/// <param name="BankVolts">Volts across the elements: the ceiling voltage, or less where the ceiling current limits it.</param>
/// <param name="Amperes">Total amperes.</param>
/// <param name="For">Worst-case time until the load is off.</param>
/// <param name="PartOfShortTime">Bank volts over the volts the weakest closed element stands that long; at most 1 in a runnable plan.</param>
public sealed record ControlLostCase(Volts BankVolts, Amperes Amperes, TimeSpan For, double PartOfShortTime);

/// <summary>Inclusive bounds: inside unless NaN, below or above.</summary>
/// <param name="Lower">Lower bound; negative infinity when there is none.</param>
/// <param name="Upper">Upper bound; positive infinity when there is none.</param>
public readonly record struct Band(double Lower, double Upper)
{
    /// <summary>True only when the value lies inside; false for NaN, so absence of a number trips.</summary>
    public bool Contains(double value) => Lower <= value && value <= Upper;
}

/// <summary>Frozen limits of a state; the trip is "unless inside".</summary>
/// <param name="Volts">Allowed volts where the fast volts channel senses them (bank or studs).</param>
/// <param name="Amperes">Allowed amperes.</param>
/// <param name="Conductance">Allowed amperes over volts at that same sense point, siemens; null with the bank open, on the way, and on the proving load, which the gate judges.</param>
public sealed record TripLimits(Band Volts, Band Amperes, Band? Conductance)
{
    /// <summary>Limits of channels beside the weld output: temperatures and the auxiliary output.</summary>
    public ImmutableArray<SideLimit> Side { get; init; } = [];
}

/// <summary>A limit of a channel beside the weld output.</summary>
/// <param name="Role">What the channel reads.</param>
/// <param name="Allowed">Allowed values in its unit.</param>
public readonly record struct SideLimit(ChannelRole Role, Band Allowed);
