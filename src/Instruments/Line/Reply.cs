namespace LoadTest.Instruments.Line;

/// <summary>How a transaction on a line ended.</summary>
internal enum ReplyKind
{
    /// <summary>A reply that belongs to the request came in time; its bytes are in the transaction.</summary>
    Complete,

    /// <summary>Sent, and the deadline passed without a reply that belongs to it.</summary>
    TimedOut,

    /// <summary>Sent, and its own reply came damaged: the header fits, the check does not.</summary>
    Damaged,

    /// <summary>Sent, and what came back could not be told apart or understood.</summary>
    Bad,

    /// <summary>Not one byte of it left.</summary>
    NotSent,

    /// <summary>The line was lost while it was being sent or answered.</summary>
    Lost,

    /// <summary>Sent, and the caller gave up waiting.</summary>
    GivenUp,
}

/// <summary>The end of a transaction.</summary>
/// <param name="Kind">How it ended.</param>
/// <param name="Timestamp">Of the reply's last byte when complete; of the deadline or the event otherwise.</param>
/// <param name="Detail">Words when not complete.</param>
internal readonly record struct Reply(ReplyKind Kind, long Timestamp, string Detail);
