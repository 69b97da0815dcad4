using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>The smallest thing a step does; a step is a row of acts, one after the other.</summary>
internal abstract record Act;

/// <summary>Asks the operator; a "no" ends the run when <see cref="StopsOnNo"/> is set.</summary>
internal sealed record AskAct(
    QuestionKind Kind,
    HandAction Action,
    string Text,
    string? Mode = null,
    Quantity? Setting = null,
    Unit Unit = Unit.One,
    bool StopsOnNo = true,
    Display? Display = null
) : Act;

/// <summary>Brings exactly these elements on: intent synced, written, read back.</summary>
internal sealed record SwitchAct(ElementSet To) : Act;

/// <summary>Closes or opens the output-enable relay: intent synced, written, contact read.</summary>
internal sealed record OutputAct(bool IsOn) : Act;

/// <summary>From now on these limits guard, at the latest after <see cref="Within"/>; until then the hull of old and new.</summary>
/// <param name="Limits">The limits.</param>
/// <param name="Within">When the old ones are gone at the latest.</param>
/// <param name="LeastVolts">Below so many volts the source has collapsed; null where it may.</param>
internal sealed record GuardAct(TripLimits Limits, TimeSpan Within, double? LeastVolts = null) : Act;

/// <summary>Refuses to go on unless the first half of the gate still holds.</summary>
internal sealed record DemandGateAct : Act;

/// <summary>Begins scanning and guarding; from here on absence trips.</summary>
internal sealed record ScanAct : Act;

/// <summary>Waits until the volts at the studs stay inside the band.</summary>
internal sealed record ExpectVoltsAct(Band Allowed) : Act;

/// <summary>Waits until the amperes by the reference shunt stay inside the band and the bank's own sensor agrees.</summary>
internal sealed record ExpectAmperesAct(Band Allowed) : Act;

/// <summary>Waits until no current flows.</summary>
internal sealed record AwaitNoCurrentAct : Act;

/// <summary>An act in which the readings of a point are kept and judged.</summary>
internal abstract record JudgingAct(PointStep Point) : Act;

/// <summary>Waits until the judging channels have settled, then for the point's hold time.</summary>
internal sealed record SettleAct(PointStep Point) : JudgingAct(Point);

/// <summary>Collects the readings that count and writes the point.</summary>
internal sealed record MeasureAct(PointStep Point) : JudgingAct(Point);

/// <summary>Lets time pass.</summary>
internal sealed record WaitAct(TimeSpan For) : Act;

/// <summary>The on part of a heat run: load stands until its time is over or the run is.</summary>
internal sealed record HeatAct(PointStep Point) : Act;

/// <summary>The off part: waits until the duty cycle allows the load again.</summary>
/// <param name="Point">The heat run.</param>
/// <param name="IsLast">Whether the run is over after it.</param>
internal sealed record HeatRestAct(PointStep Point, bool IsLast) : Act;

/// <summary>Waits until temperatures are low enough, or the time for it is over.</summary>
internal sealed record CoolAct(CoolDownStepPlan Step) : Act;

/// <summary>Samples one channel as fast as wanted, or no longer.</summary>
/// <param name="Channel">Index of the channel; null ends it.</param>
/// <param name="Every">Time between samples.</param>
internal sealed record SampleAct(int? Channel, TimeSpan Every) : Act;

/// <summary>Runs or stops the fan.</summary>
internal sealed record FanAct(bool IsOn) : Act;

/// <summary>Writes that a half of the gate is passed, durable before the next act.</summary>
internal sealed record PassGateAct(int Half, TimeSpan ValidFor) : Act;

/// <summary>Says nothing to the bank until its communication watchdog must have dropped the element that is on, and reads that it has.</summary>
/// <param name="Silence">How long nothing is said.</param>
internal sealed record ProveWatchdogAct(TimeSpan Silence) : Act;

/// <summary>Confirms the load off by contacts and by current.</summary>
internal sealed record ConfirmOffAct : Act;
