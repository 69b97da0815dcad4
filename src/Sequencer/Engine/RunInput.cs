using System.Collections.Immutable;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>Something that happened and that the run machine must hear of; the closed set of kinds follows.</summary>
/// <param name="At">Monotonic time since the run was opened.</param>
public abstract record RunInput(TimeSpan At)
{
    /// <summary>What had become of the all-offs since the removal when this was heard; all zero before it.</summary>
    public AllOffCounts AllOff { get; init; }
}

/// <summary>The run begins: gate half 1 is passed and durable.</summary>
public sealed record RunBegan(TimeSpan At) : RunInput(At)
{
    /// <summary>Whether a person has to confirm being there from time to time: always on a real bench.</summary>
    public bool IsAttended { get; init; }
}

/// <summary>An instrument's transaction ended; its readings in the order of its channels.</summary>
public sealed record ReadingsArrived(TimeSpan At, ImmutableArray<Reading> Readings) : RunInput(At);

/// <summary>A scan period is over.</summary>
public sealed record Ticked(TimeSpan At) : RunInput(At);

/// <summary>The operator answered.</summary>
public sealed record OperatorAnswered(TimeSpan At, int Question, Answer Answer) : RunInput(At);

/// <summary>The synced entry written for this command is durable.</summary>
public sealed record EntrySynced(TimeSpan At, int Command) : RunInput(At);

/// <summary>A switching command ended.</summary>
public sealed record SwitchFinished(TimeSpan At, int Command, CommandResult Result) : RunInput(At);

/// <summary>The output-enable relay was switched and its contact read, or could not be.</summary>
public sealed record OutputFinished(TimeSpan At, int Command, CommandResult Result, bool IsClosed) : RunInput(At);

/// <summary>The bank's states were read, or could not be.</summary>
/// <param name="Number">Number of the <see cref="ReadStates"/> it answers.</param>
/// <param name="States">What was read.</param>
public sealed record StatesArrived(TimeSpan At, int Number, LoadStates States) : RunInput(At);

/// <summary>A question can no longer be answered: whoever answers is gone.</summary>
public sealed record OperatorLost(TimeSpan At, int Question, string Detail) : RunInput(At);

/// <summary>A person asks to stop.</summary>
public sealed record StopAsked(TimeSpan At, string Who, string Detail) : RunInput(At);

/// <summary>All-off was sent from outside the machine: a signal, the dead-man thread, a stop listener.</summary>
public sealed record LoadGone(TimeSpan At, RemovalCause Cause) : RunInput(At);

/// <summary>The wall clock was set; no duration and no decision depends on it.</summary>
/// <param name="By">How far, on when positive.</param>
public sealed record ClockStepped(TimeSpan At, TimeSpan By) : RunInput(At);

/// <summary>The machine slept, with nobody watching.</summary>
/// <param name="For">How long.</param>
public sealed record MachineSlept(TimeSpan At, TimeSpan For) : RunInput(At);

/// <summary>The journal or the loop itself is broken; nothing more can be written.</summary>
public sealed record RunBroke(TimeSpan At, string Code, string Detail) : RunInput(At);
