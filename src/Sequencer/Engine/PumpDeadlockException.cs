namespace LoadTest.Sequencer.Engine;

/// <summary>In virtual time, a task waits for something that nothing left can bring about.</summary>
public sealed class PumpDeadlockException : Exception
{
    /// <summary>Made with a message of one's own.</summary>
    public PumpDeadlockException(string message)
        : base(message) { }

    /// <summary>Made with a message and a cause.</summary>
    public PumpDeadlockException(string message, Exception inner)
        : base(message, inner) { }

    /// <summary>Made without a time.</summary>
    public PumpDeadlockException()
        : this(TimeSpan.Zero) { }

    /// <summary>Made at this virtual time since the pump's start.</summary>
    public PumpDeadlockException(TimeSpan at)
        : base($"Deadlock at virtual time {at}: no work is queued and no timer is set, yet the task has not ended.") { }
}
