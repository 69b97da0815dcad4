namespace LoadTest.Instruments.Line;

/// <summary>What received bytes are, seen by the request that waits.</summary>
internal enum Verdict
{
    /// <summary>Not a whole frame yet.</summary>
    More,

    /// <summary>The reply that belongs to this request.</summary>
    Reply,

    /// <summary>A sound frame of another request; thrown away and counted, the wait goes on.</summary>
    Stale,

    /// <summary>The answer to an urgent frame; thrown away, the wait goes on.</summary>
    Urgent,

    /// <summary>This request's reply with a wrong check.</summary>
    Damaged,

    /// <summary>No frame of a known shape.</summary>
    Garbage,
}

/// <summary>A verdict and how many bytes from the front it is about.</summary>
internal readonly record struct Examined(Verdict Verdict, int Used);

/// <summary>One request and how its reply is recognised; the exchange carries it out.</summary>
internal abstract class Transaction
{
    /// <summary>Bytes to send; stable from <see cref="Number"/> to the end of the transaction.</summary>
    public abstract ReadOnlySpan<byte> Frame { get; }

    /// <summary>Longest time from the first byte sent to the last byte of the reply; also the longest wait for the line.</summary>
    public TimeSpan Deadline { get; set; }

    /// <summary>Whether a reply is awaited; otherwise it is complete once sent.</summary>
    public virtual bool ExpectsReply => true;

    /// <summary>Gives the request its transaction number, where the protocol has one.</summary>
    public virtual void Number(ushort number) { }

    /// <summary>Asked inside the write gate, right before the first byte; null for a request that cannot energise.</summary>
    public Func<bool>? Permit { get; set; }

    /// <summary>Whether it may leave; asked inside the write gate, right before the first byte.</summary>
    public bool MayLeave => Permit is null || Permit();

    /// <summary>Whether the reply it was examined with says that it was done, not refused.</summary>
    public virtual bool IsDone => true;

    /// <summary>For an urgent frame: what became of it each time it was asked for; null for any other.</summary>
    public UrgentCount? Count { get; init; }

    /// <summary>Whether it may be sent while an earlier reply is in doubt: a question of known answer, or a write that only makes safe.</summary>
    public bool MayLeaveInDoubt { get; init; }

    /// <summary>Says what the received bytes are, and keeps the payload of a reply.</summary>
    public abstract Examined Examine(ReadOnlySpan<byte> received);

    /// <summary>What it asks for, in words, for messages.</summary>
    public abstract string Words { get; }

    /// <summary>What to do where the line brings back what was sent on it, a sentence without its full stop.</summary>
    public abstract string EchoAdvice { get; }

    /// <summary>The check a reply came with and the one its bytes give, as a clause; null where it bears none or the right one.</summary>
    public virtual string? CheckWords(ReadOnlySpan<byte> received) => null;

    internal TaskCompletionSource<Reply>? Completion { get; set; }

    internal CancellationTokenRegistration Registration { get; set; }

    internal bool IsSent { get; set; }

    internal long DeadlineTicks { get; set; }

    internal long SendBy { get; set; }

    internal int StaleFrames { get; set; }

    /// <summary>Whether nothing on the line refers to it any more, so that it may be used again.</summary>
    public bool IsAtRest { get; internal set; } = true;

    internal bool IsGivenUp => Completion is { Task.IsCompleted: true };

    internal void Complete(Reply reply)
    {
        Registration.Dispose();
        Registration = default;
        IsAtRest = reply.Kind != ReplyKind.TimedOut;
        Completion?.TrySetResult(reply);
    }
}
