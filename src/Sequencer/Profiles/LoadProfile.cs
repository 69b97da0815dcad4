using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Profiles;

/// <summary>The scripted load steps, as read from a file a person edits.</summary>
/// <param name="Name">Title of the profile, shown on every page.</param>
/// <param name="Revision">Revision number, 1 or more.</param>
/// <param name="For">What kind of unit it is for, matched with the nameplate's <c>kind</c>.</param>
/// <param name="AverageReadings">Readings averaged at each point once settled, 5 or more.</param>
/// <param name="Settle">When a reading counts as settled.</param>
/// <param name="Trips">Limits at which the tool removes the load; never defaulted.</param>
/// <param name="Decision">The decision rule agreed beforehand.</param>
/// <param name="Steps">Steps in order, with <c>points</c> and <c>for each</c> still folded.</param>
/// <param name="Points">Named groups of steps that <c>measure</c> refers to.</param>
/// <param name="Place">Where the file begins.</param>
public sealed record LoadProfile(
    string Name,
    int Revision,
    string For,
    int AverageReadings,
    SettleRule Settle,
    ImmutableArray<TripRule> Trips,
    DecisionText Decision,
    ImmutableArray<ProfileStep> Steps,
    ImmutableDictionary<string, ImmutableArray<ProfileStep>> Points,
    Place Place
)
{
    /// <summary>Longest time between two confirmations that a person is at the bench; a profile may shorten it, never remove it.</summary>
    public static readonly TimeSpan LongestUnattended = TimeSpan.FromMinutes(10);

    /// <summary>How often a person confirms to be at a real bench while the output is enabled or an element is on.</summary>
    public TimeSpan PresenceEvery { get; init; } = LongestUnattended;
}

/// <summary>When a reading counts as settled: slope and spread over a time inside a tolerance.</summary>
/// <param name="Within">Allowed drift and half-spread, a fraction of the reading.</param>
/// <param name="OrVolts">Allowed for volts where it is wider than <paramref name="Within"/>; zero where only that counts.</param>
/// <param name="OrAmperes">Allowed for amperes where it is wider than <paramref name="Within"/>; zero where only that counts.</param>
/// <param name="Over">Length of the window looked at.</param>
/// <param name="GiveUpAfter">When "did not settle" becomes a finding and the step goes on.</param>
public sealed record SettleRule(double Within, Volts OrVolts, Amperes OrAmperes, TimeSpan Over, TimeSpan GiveUpAfter)
{
    /// <summary>Change that may still be to come, extrapolated, a fraction of the reading; null where nobody asks.</summary>
    public double? StillToCome { get; init; }
}

/// <summary>A limit at which the tool removes the load.</summary>
/// <param name="Measurand">Which quantity; output voltage, output current or load conductance.</param>
/// <param name="Above">Trips above this; null when there is only a lower bound.</param>
/// <param name="Below">Trips below this while loaded; null when there is only an upper bound.</param>
/// <param name="Place">Where it stands.</param>
public sealed record TripRule(Measurand Measurand, Amount? Above, Amount? Below, Place Place);

/// <summary>How verdicts are reached; the words of ILAC-G8:09/2019.</summary>
public enum DecisionForm
{
    /// <summary><c>simple acceptance</c>: the limit itself, w = 0.</summary>
    SimpleAcceptance,

    /// <summary><c>guard band</c>: acceptance limits drawn in by w = factor × U, rejection limits pushed out likewise.</summary>
    GuardBand,
}

/// <summary>The decision rule of a profile.</summary>
/// <param name="Form">Simple acceptance or guard band.</param>
/// <param name="Factor">Guard band as a multiple of the expanded uncertainty U, 0 to 3; 1 is the usual w = U.</param>
/// <param name="Coverage">Coverage probability of U, 0.5 to 0.9999; 0.95 is usual.</param>
public sealed record DecisionText(DecisionForm Form, double Factor, double Coverage);

/// <summary>A quantity and the limit it is judged by.</summary>
/// <param name="Measurand">What is judged.</param>
/// <param name="Limit">By which limit.</param>
public sealed record Expectation(Measurand Measurand, Limit Limit)
{
    /// <summary>The standard or document the limit is taken from, as the profile names it; null when it names none.</summary>
    public string? From { get; init; }
}

/// <summary>One step of a profile; the closed set of kinds follows below.</summary>
/// <param name="Place">Where it stands in the file.</param>
public abstract record ProfileStep(Place Place);

/// <summary><c>inspect: TEXT</c>: a person looks, and says found in order or not.</summary>
public sealed record InspectStep(string Text, Place Place) : ProfileStep(Place);

/// <summary><c>by hand: TEXT</c>: a person measures with a meter without a wire and types the value.</summary>
public sealed record ByHandStep(string Text, Unit Unit, Expectation? Expect, Place Place) : ProfileStep(Place)
{
    /// <summary>The meter, by its id on the bench; null when it is no instrument of the bench.</summary>
    public Meter? With { get; init; }

    /// <summary>Which meter is used.</summary>
    /// <param name="Instrument">Its id on the bench.</param>
    /// <param name="Input">Which of its inputs; null when it has only one in the unit asked for.</param>
    /// <param name="Place">Where it is named.</param>
    public sealed record Meter(string Instrument, string? Input, Place Place);
}

/// <summary><c>question: TEXT</c>: a person answers yes or no; the answer is recorded.</summary>
public sealed record QuestionStep(string Text, Place Place) : ProfileStep(Place);

/// <summary><c>energise</c>: the second half of the caution gate, then output is live.</summary>
/// <param name="Mode">Mode of the unit in which it is started; null when the nameplate has one mode.</param>
public sealed record EnergiseStep(string? Mode, Place Place) : ProfileStep(Place);

/// <summary><c>no load</c>: every element off, output enabled, volts measured.</summary>
public sealed record NoLoadStep(ImmutableArray<Expectation> Expect, Place Place) : ProfileStep(Place);

/// <summary><c>curve</c>: resistance swept from open to the lowest allowed at one setting.</summary>
/// <param name="Mode">Mode of the unit, or null for the mode it was energised in.</param>
/// <param name="Setting">Setting of the control; null only inside <c>for each: control setting</c>.</param>
/// <param name="Points">Number of points including open circuit, 4 to 50.</param>
public sealed record CurveStep(
    string? Mode,
    Amount? Setting,
    int Points,
    ImmutableArray<Expectation> Expect,
    Place Place
) : ProfileStep(Place);

/// <summary><c>settings along the load line</c>: minimum, maximum and points between, set against actual against indicated.</summary>
/// <param name="At">Settings; empty means minimum, three between and maximum.</param>
/// <param name="BothWays">Whether each is taken once rising and once falling.</param>
/// <param name="ReadPanel">Whether the panel meters are read at each point.</param>
public sealed record LoadLineStep(
    string? Mode,
    ImmutableArray<Amount> At,
    bool BothWays,
    bool ReadPanel,
    ImmutableArray<Expectation> Expect,
    Place Place
) : ProfileStep(Place);

/// <summary><c>shunt sweep</c>: current by control, up and down, zero readings before and after.</summary>
public sealed record ShuntSweepStep(
    string? Mode,
    ImmutableArray<Amount> At,
    bool BothWays,
    bool ReadPanel,
    ImmutableArray<Expectation> Expect,
    Place Place
) : ProfileStep(Place);

/// <summary><c>hold</c>: one setting on the load line for a time.</summary>
public sealed record HoldStep(string? Mode, Amount At, TimeSpan For, ImmutableArray<Expectation> Expect, Place Place)
    : ProfileStep(Place);

/// <summary><c>heat run</c>: one setting on the load line until nothing warms any more, or a time is over.</summary>
/// <param name="DutyCycle">On-load part of ten minutes, a fraction; null for load without a break.</param>
/// <param name="OffPart">What is done in the off part; none without a duty cycle.</param>
/// <param name="AtMost">When it ends at the latest.</param>
/// <param name="Equilibrium">When it may end before; null when it runs its whole time.</param>
public sealed record HeatRunStep(
    string? Mode,
    Amount At,
    double? DutyCycle,
    OffPart OffPart,
    TimeSpan AtMost,
    EquilibriumRule? Equilibrium,
    ImmutableArray<Expectation> Expect,
    Place Place
) : ProfileStep(Place);

/// <summary>What is done in the off part of a duty cycle.</summary>
public enum OffPart
{
    /// <summary>There is none.</summary>
    None,

    /// <summary><c>no load</c>: control to minimum, every element off, output enabled.</summary>
    NoLoad,

    /// <summary><c>control at minimum</c>: the elements stay on, and so does the least current the control gives.</summary>
    ControlAtMinimum,
}

/// <summary>When the unit counts as warm: its temperature changes by no more than so much over a time.</summary>
/// <param name="Kelvins">Most change over <paramref name="Over"/>, K.</param>
/// <param name="Over">Length of the window, an hour or more.</param>
public sealed record EquilibriumRule(double Kelvins, TimeSpan Over)
{
    /// <summary>The same as a slope, K/h.</summary>
    public double KelvinsPerHour => Kelvins / Over.TotalHours;
}

/// <summary><c>transient</c>: the load changes at once, and one channel is sampled as fast as it reads.</summary>
/// <param name="From">Load before, a fraction of the load line's conductance at the setting; 0 is the bank open.</param>
/// <param name="To">Load after, likewise.</param>
/// <param name="Sample">Output voltage or output current.</param>
/// <param name="Every">Wanted time between samples.</param>
/// <param name="After">How long it is sampled after the change.</param>
/// <param name="Band">Half-width of the steady band, a fraction of the rated value.</param>
public sealed record TransientStep(
    string? Mode,
    Amount At,
    double From,
    double To,
    Measurand Sample,
    TimeSpan Every,
    TimeSpan After,
    double Band,
    ImmutableArray<Expectation> Expect,
    Place Place
) : ProfileStep(Place);

/// <summary><c>auxiliary load</c>: the auxiliary output alone, the bank's DC elements off.</summary>
/// <param name="At">Loads, fractions of the rated auxiliary power; 0 is none.</param>
public sealed record AuxiliaryStep(ImmutableArray<double> At, ImmutableArray<Expectation> Expect, Place Place)
    : ProfileStep(Place);

/// <summary><c>weld and auxiliary load</c>: both outputs together, row by row of the nameplate's table.</summary>
public sealed record WeldAndAuxiliaryStep(string? Mode, ImmutableArray<Expectation> Expect, Place Place)
    : ProfileStep(Place);

/// <summary><c>adjust: TEXT</c>: a person adjusts the unit with the load off and the engine stopped or idle as the text says.</summary>
public sealed record AdjustStep(string Text, Place Place) : ProfileStep(Place);

/// <summary><c>measure: NAME as found</c> or <c>as left</c>: a named group of points, once before and once after adjustment.</summary>
public sealed record MeasureStep(string Points, Condition Condition, Place Place) : ProfileStep(Place);

/// <summary><c>for each: control setting</c>: the steps in <c>do</c> once for each setting.</summary>
/// <param name="At">Settings: amounts, with <c>minimum</c>, <c>middle</c>, <c>maximum</c> as named marks.</param>
public sealed record ForEachStep(ImmutableArray<SettingMark> At, ImmutableArray<ProfileStep> Do, Place Place)
    : ProfileStep(Place);

/// <summary><c>cool down</c>: unloaded, output disabled, fan on, until a time has passed.</summary>
/// <param name="For">Least time; null means the bank definition's own.</param>
public sealed record CoolDownStep(TimeSpan? For, Place Place) : ProfileStep(Place)
{
    /// <summary>Temperatures it waits for beside the time; empty when it goes by time alone.</summary>
    public ImmutableArray<CoolTo> To { get; init; } = [];

    /// <summary>When it gives up waiting for them; null without any.</summary>
    public TimeSpan? AtMost { get; init; }
}

/// <summary>A temperature that a cool-down waits for.</summary>
/// <param name="Measurand">Which.</param>
/// <param name="Celsius">At most so much, °C.</param>
public sealed record CoolTo(Measurand Measurand, double Celsius);

/// <summary>When a group of points was taken.</summary>
public enum Condition
{
    /// <summary>Not tied to an adjustment.</summary>
    AsIs,

    /// <summary>Before anything was cleaned or turned.</summary>
    AsFound,

    /// <summary>After adjustment.</summary>
    AsLeft,
}

/// <summary>A control setting: a named mark or an amount.</summary>
/// <param name="Mark">Fraction of the control range for <c>minimum</c> (0), <c>middle</c> (0.5), <c>maximum</c> (1); null with an amount.</param>
/// <param name="Amount">The amount; null with a mark.</param>
/// <param name="Text">As written.</param>
public sealed record SettingMark(double? Mark, Amount? Amount, string Text);
