using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>Something the run machine wants done, in order; the closed set of kinds follows.</summary>
public abstract record RunCommand;

/// <summary>Remove the load now; always first among the commands of its input.</summary>
public sealed record RemoveLoadNow(RemovalCause Cause) : RunCommand;

/// <summary>Append an entry.</summary>
public sealed record Write(JournalEntry Entry) : RunCommand;

/// <summary>Append an entry, and answer <see cref="EntrySynced"/> once it is durable.</summary>
public sealed record WriteSynced(JournalEntry Entry, int Command) : RunCommand;

/// <summary>Bring exactly these elements on.</summary>
public sealed record SwitchElements(int Command, ElementSet Elements) : RunCommand;

/// <summary>Close or open the output-enable relay and read its contact.</summary>
public sealed record SwitchOutput(int Command, bool IsOn) : RunCommand;

/// <summary>Read the bank's states.</summary>
/// <param name="Number">Counts the readings asked for, so that an answer from before is known as one.</param>
public sealed record ReadStates(int Number) : RunCommand;

/// <summary>Run or stop the fan.</summary>
public sealed record SetFan(bool IsOn) : RunCommand;

/// <summary>Ask the operator.</summary>
public sealed record Ask(Question Question) : RunCommand;

/// <summary>Withdraw the question that is open.</summary>
public sealed record WithdrawQuestion : RunCommand;

/// <summary>Begin or end scanning the channels.</summary>
public sealed record SetScanning(bool IsOn) : RunCommand;

/// <summary>Read the instrument of one channel more often than the others; null ends it.</summary>
/// <param name="Channel">Index of the channel.</param>
/// <param name="Every">Time between readings.</param>
public sealed record SetSampling(int? Channel, TimeSpan Every) : RunCommand;

/// <summary>Say nothing to the bank, or speak to it again; the other instruments are read all the while.</summary>
public sealed record SetBankQuiet(bool IsQuiet) : RunCommand;

/// <summary>Write the last entry, sync it, and end.</summary>
public sealed record Finish(RunClosed Closing) : RunCommand;
