using System.Collections.Immutable;
using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>Where a run stands.</summary>
public enum RunPhase
{
    /// <summary>Not begun.</summary>
    Waiting,

    /// <summary>Doing the steps of the plan.</summary>
    Stepping,

    /// <summary>The load was removed; confirming that it is off.</summary>
    Removing,

    /// <summary>Over.</summary>
    Closed,
}

/// <summary>Everything the run machine remembers; immutable.</summary>
public sealed record RunState
{
    /// <summary>Where the run stands.</summary>
    public RunPhase Phase { get; init; }

    /// <summary>Index of the step in the plan.</summary>
    public int Step { get; init; }

    /// <summary>First cause for which the load was removed; never changes once set.</summary>
    public RemovalCause? Latched { get; init; }

    /// <summary>Elements last commanded and confirmed.</summary>
    public ElementSet Elements { get; init; }

    /// <summary>Whether the output is enabled, as far as the operator said.</summary>
    public bool IsOutputEnabled { get; init; }

    /// <summary>Whether the channels are scanned and guarded.</summary>
    public bool IsScanning { get; init; }

    /// <summary>Last good reading of each channel of the bench, by index.</summary>
    public ImmutableArray<Reading> LastGood { get; init; } = [];

    internal ImmutableArray<Act> Acts { get; init; } = [];
    internal int Act { get; init; }
    internal ActProgress Progress { get; init; } = new();
    internal string? Mode { get; init; }
    internal Quantity? Setting { get; init; }
    internal bool IsEngineRunning { get; init; }
    internal TimeSpan GateFrom { get; init; }
    internal bool IsGatePassed { get; init; }
    internal bool WasEnergised { get; init; }
    internal bool IsFoundOff { get; init; }
    internal TimeSpan? OperatorLostAt { get; init; }
    internal ContactsRead? ContactsSeen { get; init; }
    internal EngineStopped? Stopped { get; init; }
    internal uint ShownCurrent { get; init; }
    internal ImmutableArray<string> LaterCodes { get; init; } = [];
    internal TripLimits? Limits { get; init; }
    internal TripLimits? NextLimits { get; init; }
    internal TimeSpan NextLimitsFrom { get; init; }
    internal double? LeastVolts { get; init; }
    internal double? NextLeastVolts { get; init; }
    internal ImmutableArray<Reading> Scan { get; init; } = [];
    internal int Commands { get; init; }
    internal int Questions { get; init; }
    internal int? OpenQuestion { get; init; }
    internal bool AreStatesWanted { get; init; }
    internal int StatesAsked { get; init; }
    internal TimeSpan StatesReadAt { get; init; }
    internal bool IsBankQuiet { get; init; }
    internal TimeSpan BankSpokenTo { get; init; }
    internal bool IsWatchdogProved { get; init; }
    internal bool IsAttended { get; init; }
    internal TimeSpan HeardAt { get; init; }
    internal int? PresenceQuestion { get; init; }
    internal bool IsWarned { get; init; }
    internal TimeSpan? LastTick { get; init; }
    internal ImmutableArray<Sameness> Same { get; init; } = [];
    internal TimeSpan? VoltsApartSince { get; init; }
    internal TimeSpan? AmperesApartSince { get; init; }
    internal (double Volts, double Amperes)? BeforeStep { get; init; }
    internal int StatesMissed { get; init; }
    internal Removal? Removal { get; init; }
    internal HeatProgress? Heat { get; init; }
}

/// <summary>How far the present act is.</summary>
internal sealed record ActProgress
{
    public TimeSpan Since { get; init; }
    public ActStage Stage { get; init; }
    public int Command { get; init; }
    public TimeSpan Due { get; init; }
    public int StatesAfter { get; init; }
    public int Tries { get; init; }
    public string Words { get; init; } = "";
    public bool HasSettled { get; init; }
    public int Little { get; init; }
    public ImmutableArray<Reading> Readings { get; init; } = [];
}

/// <summary>Stages of acts that take several.</summary>
internal enum ActStage
{
    Begun,
    Syncing,
    Switching,
    Closing,
    ReadingBack,
    Holding,
}

/// <summary>How long a channel has given the same digits.</summary>
/// <param name="Count">Good readings in a row with the same digits, this one among them.</param>
/// <param name="Since">When the first of them was read.</param>
internal readonly record struct Sameness(int Count, TimeSpan Since);

/// <summary>How far a heat run is; as long as it lasts this does not grow.</summary>
/// <param name="Begun">When it began.</param>
/// <param name="OnSince">When the present on part began, switching included.</param>
internal sealed record HeatProgress(TimeSpan Begun, TimeSpan OnSince)
{
    /// <summary>Stretches under load of the last two cycles.</summary>
    public ImmutableArray<LoadSpan> Loads { get; init; } = [];

    /// <summary>Moments, s, of the temperatures kept, no older than the window asks.</summary>
    public ImmutableArray<double> Seconds { get; init; } = [];

    /// <summary>Temperatures at those moments, °C.</summary>
    public ImmutableArray<double> Celsius { get; init; } = [];

    /// <summary>When the next temperature is taken, of a run without a duty cycle.</summary>
    public TimeSpan NextSample { get; init; }

    /// <summary>Sum and number of the readings of the last seconds before a temperature is taken.</summary>
    public (double Sum, int Count) Mean { get; init; }

    /// <summary>On parts done.</summary>
    public int Cycles { get; init; }
}

/// <summary>How far the confirmation after a removal is.</summary>
/// <param name="Outcome">How the run will end.</param>
/// <param name="Since">When the load was removed; only what was read later counts.</param>
/// <param name="StatesAfter">States asked for up to this number were asked before, and do not count.</param>
internal sealed record Removal(Outcome Outcome, TimeSpan Since, int StatesAfter)
{
    /// <summary>Whether any channel showed a current when the load was removed.</summary>
    public bool HadCurrent { get; init; }

    /// <summary>Null while it is being found out.</summary>
    public bool? IsConfirmed { get; init; }

    /// <summary>When the machine last asked for all-off and a reading of the states.</summary>
    public TimeSpan RepeatedAt { get; init; }

    /// <summary>What had become of the all-offs since the removal when the last input was heard.</summary>
    public AllOffCounts AllOff { get; init; }

    /// <summary>Whether the person has to be asked, again if need be.</summary>
    public bool MustAsk { get; init; }
}
