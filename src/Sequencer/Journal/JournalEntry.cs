using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Journal;

/// <summary>One thing that happened in a run; the closed set of kinds follows.</summary>
/// <param name="At">Monotonic time since the run was opened; wall time is only a label in <see cref="RunOpened"/>.</param>
public abstract record JournalEntry(TimeSpan At);

/// <summary>First entry: what run this is.</summary>
/// <param name="RunId">Id of the run, unique in the store.</param>
/// <param name="ToolVersion">Version of the program.</param>
/// <param name="StartedUtc">Wall time of the start, a label.</param>
/// <param name="UnitSerialNumber">Serial number of the unit under test.</param>
/// <param name="IsSimulated">Whether the bench was proved simulated.</param>
/// <param name="PreviousHead">Head of the store's previous run, lower-case hex; empty for the first.</param>
public sealed record RunOpened(
    TimeSpan At,
    string RunId,
    string ToolVersion,
    DateTimeOffset StartedUtc,
    string UnitSerialNumber,
    bool IsSimulated,
    string PreviousHead
) : JournalEntry(At)
{
    /// <summary>What the proof that the bench is simulated rests on; null at a real bench, and where the journal does not say.</summary>
    public SimulationProof? Proof { get; init; }
}

/// <summary>What a proof that a bench is simulated rests on.</summary>
public enum SimulationProof
{
    /// <summary>Its lines are in the memory of the program that ran the test.</summary>
    InMemory,

    /// <summary>One process with the program's own file, which knew the secret of its start, had the other end of every line.</summary>
    OneProcess,

    /// <summary>The other end knew the secret of the simulator's start, and the system did not say which process that was.</summary>
    SecretAlone,
}

/// <summary>What an embedded file is.</summary>
public enum FileRole
{
    /// <summary>The profile.</summary>
    Profile,

    /// <summary>The nameplate.</summary>
    Nameplate,

    /// <summary>The bench.</summary>
    Bench,

    /// <summary>An instrument definition; <see cref="FileEmbedded.Name"/> is as the bench file writes it.</summary>
    Definition,

    /// <summary>The simulated world.</summary>
    World,
}

/// <summary>The bytes of a file the run depends on.</summary>
public sealed record FileEmbedded(TimeSpan At, FileRole Role, string Name, ImmutableArray<byte> Bytes)
    : JournalEntry(At);

/// <summary>A person acknowledged a caution.</summary>
/// <param name="Caution">The caution's short name.</param>
/// <param name="Text">Its words as shown.</param>
/// <param name="Who">Who acknowledged.</param>
public sealed record CautionAcknowledged(TimeSpan At, string Caution, string Text, string Who) : JournalEntry(At);

/// <summary>The gate checked something.</summary>
/// <param name="Check">What was checked.</param>
/// <param name="Passed">Whether it was as it must be.</param>
/// <param name="Found">What was found, in words with units.</param>
public sealed record GateChecked(TimeSpan At, string Check, bool Passed, string Found) : JournalEntry(At);

/// <summary>A half of the gate was passed; durable before anything is energised.</summary>
/// <param name="Half">1 with the engine stopped, 2 with it running.</param>
/// <param name="ValidFor">How long it holds.</param>
public sealed record GatePassed(TimeSpan At, int Half, TimeSpan ValidFor) : JournalEntry(At);

/// <summary>A step began.</summary>
public sealed record StepStarted(TimeSpan At, int Step, string Title) : JournalEntry(At);

/// <summary>A step ended.</summary>
/// <param name="Remark">Empty, or what is to be known: "did not settle: drifting 0.8 %".</param>
public sealed record StepEnded(TimeSpan At, int Step, string Remark) : JournalEntry(At);

/// <summary>An operator was asked.</summary>
public sealed record Asked(TimeSpan At, Question Question) : JournalEntry(At);

/// <summary>The operator answered.</summary>
public sealed record Answered(TimeSpan At, int Question, Answer Answer) : JournalEntry(At);

/// <summary>The engine is about to switch elements; synced before the first byte of a command that may energise.</summary>
/// <param name="Command">Number of the command within the run.</param>
/// <param name="Elements">The wanted set.</param>
public sealed record SwitchIntended(TimeSpan At, int Command, ElementSet Elements) : JournalEntry(At);

/// <summary>The command to switch elements ended.</summary>
public sealed record SwitchEnded(TimeSpan At, int Command, CommandResult Result) : JournalEntry(At);

/// <summary>The engine is about to close or open the output-enable relay; synced before the first byte of the command that closes it.</summary>
/// <param name="Command">Number of the command within the run.</param>
/// <param name="IsOn">Closed: the unit may give output.</param>
public sealed record OutputIntended(TimeSpan At, int Command, bool IsOn) : JournalEntry(At);

/// <summary>The output-enable relay was switched, and its contact read.</summary>
/// <param name="Command">Number of the command within the run; 0 for the opening that goes with a removal of the load.</param>
/// <param name="Result">Ok when the contact could be read.</param>
/// <param name="IsClosed">What the contact says; meaningless unless read.</param>
public sealed record OutputSwitched(TimeSpan At, int Command, CommandResult Result, bool IsClosed) : JournalEntry(At);

/// <summary>The bank's states were read.</summary>
public sealed record StatesRead(TimeSpan At, LoadStates States) : JournalEntry(At);

/// <summary>All-off was asked for at every bank; what became of it stands in <see cref="OffFacts.AllOffs"/>.</summary>
public sealed record LoadRemoved(TimeSpan At, RemovalCause Cause) : JournalEntry(At);

/// <summary>Whether the load was found off.</summary>
/// <param name="IsConfirmed">Whether the run took the load as off.</param>
public abstract record LoadOff(TimeSpan At, bool IsConfirmed) : JournalEntry(At)
{
    /// <summary>What was found, one sentence without its full stop, for a person.</summary>
    public abstract string Words { get; }
}

/// <summary>What was found of the load after its removal, as facts.</summary>
/// <param name="IsConfirmed">Whether the run took the load as off.</param>
/// <param name="Facts">What was read, with times; what was not read since the removal keeps its age.</param>
public sealed record OffJudged(TimeSpan At, bool IsConfirmed, OffFacts Facts) : LoadOff(At, IsConfirmed)
{
    /// <inheritdoc/>
    public override string Words => OffWords.Of(Facts);
}

/// <summary>The same as journals of format 1 have it: a sentence without facts, which may quote readings older than the removal.</summary>
/// <param name="IsConfirmed">Whether the run took the load as off.</param>
/// <param name="Detail">What was said, in words with units.</param>
public sealed record OffSaid(TimeSpan At, bool IsConfirmed, string Detail) : LoadOff(At, IsConfirmed)
{
    /// <inheritdoc/>
    public override string Words =>
        $"{Detail} (said by an earlier version; the readings may be older than the removal)";
}

/// <summary>One pass over the channels.</summary>
/// <param name="Readings">What arrived since the pass before, in order of arrival.</param>
public sealed record Scanned(TimeSpan At, ImmutableArray<Reading> Readings) : JournalEntry(At);

/// <summary>One timestamped indication of a channel.</summary>
/// <param name="Channel">Index into the bench's channels.</param>
/// <param name="Value">Value in the channel's unit; zero and meaningless unless good.</param>
/// <param name="Flag">What it is worth.</param>
/// <param name="At">Monotonic time of the reply's last byte since the run was opened.</param>
public readonly record struct Reading(int Channel, double Value, IndicationFlag Flag, TimeSpan At);

/// <summary>A point was measured: readings of the judging channels between two times count.</summary>
/// <param name="Step">Step of the plan.</param>
/// <param name="From">First time that counts.</param>
/// <param name="To">Last time that counts.</param>
/// <param name="HasSettled">Whether it settled before the rule gave up.</param>
/// <param name="Words">Settled, drifting, noisy, oscillating, with numbers.</param>
public sealed record PointMeasured(TimeSpan At, int Step, TimeSpan From, TimeSpan To, bool HasSettled, string Words)
    : JournalEntry(At);

/// <summary>A limit was crossed on a raw reading, and the load removed.</summary>
/// <param name="Code">Outcome word, from the closed list of <see cref="RemovalCause"/>.</param>
/// <param name="Detail">Channel, value and limit in words with units.</param>
public sealed record Tripped(TimeSpan At, string Code, string Detail) : JournalEntry(At);

/// <summary>A person or a signal ended the run.</summary>
public sealed record Stopped(TimeSpan At, string Who, string Detail) : JournalEntry(At);

/// <summary>Something worth knowing that changes no state.</summary>
public sealed record Remarked(TimeSpan At, string Text) : JournalEntry(At);

/// <summary>The wall clock was set while the run was open; it changes labels, never a duration or a decision.</summary>
/// <param name="By">How far, on when positive.</param>
public sealed record ClockMoved(TimeSpan At, TimeSpan By) : JournalEntry(At);

/// <summary>How a run ended.</summary>
public enum Outcome
{
    /// <summary>Every step was done.</summary>
    Complete,

    /// <summary>The tool removed the load because a limit was crossed.</summary>
    Tripped,

    /// <summary>A person or a signal ended it.</summary>
    Stopped,

    /// <summary>The gate refused.</summary>
    Refused,

    /// <summary>The bank did not do what it was told.</summary>
    Failed,

    /// <summary>The program or its storage failed.</summary>
    Interrupted,
}

/// <summary>What is known of the bank at the end.</summary>
public enum BankEnd
{
    /// <summary>Never energised in this run.</summary>
    NeverEnergised,

    /// <summary>All-off sent, read back, and current gone.</summary>
    Off,

    /// <summary>All-off sent, not confirmed.</summary>
    OffNotConfirmed,
}

/// <summary>Last entry: how the run ended.</summary>
/// <param name="Outcome">The outcome.</param>
/// <param name="Code">Code of a trip, stop or refusal; empty when complete.</param>
/// <param name="Detail">In words.</param>
/// <param name="Bank">What is known of the bank.</param>
public sealed record RunClosed(TimeSpan At, Outcome Outcome, string Code, string Detail, BankEnd Bank)
    : JournalEntry(At);
