namespace LoadTest.Sequencer.Ports;

/// <summary>How a command to an instrument ended.</summary>
public enum CommandOutcome
{
    /// <summary>Done, and the reply that says so belongs to this request.</summary>
    Ok,

    /// <summary>Not done: refused here, or refused by the instrument.</summary>
    Failed,

    /// <summary>Sent, but no reply that belongs to it came in time: it may have been done. Read the state before anything else.</summary>
    Unknown,
}

/// <summary>The result of a command, with the words for a journal or a person.</summary>
/// <param name="Outcome">Ok, failed or unknown.</param>
/// <param name="Detail">Empty when ok; otherwise where, what was found, what was allowed.</param>
public readonly record struct CommandResult(CommandOutcome Outcome, string Detail)
{
    /// <summary>Done.</summary>
    public static CommandResult Ok { get; } = new(CommandOutcome.Ok, "");

    /// <summary>Not done, and why.</summary>
    public static CommandResult Failed(string detail) => new(CommandOutcome.Failed, detail);

    /// <summary>Perhaps done, and what is missing.</summary>
    public static CommandResult Unknown(string detail) => new(CommandOutcome.Unknown, detail);
}
