namespace LoadTest.Instruments.Line;

/// <summary>What happened on one link since it was made, for the journal and a person looking for a bad cable.</summary>
public sealed class LinkCounters
{
    private long _urgent;
    private string _trouble = "";

    /// <summary>Requests sent, urgent frames not among them.</summary>
    public long Sent { get; internal set; }

    /// <summary>Replies accepted because they belonged to their request.</summary>
    public long Replies { get; internal set; }

    /// <summary>Requests whose deadline passed without their reply.</summary>
    public long Timeouts { get; internal set; }

    /// <summary>Frames and runs of bytes thrown away because nobody was waiting for them, or another request's.</summary>
    public long Discarded { get; internal set; }

    /// <summary>Replies damaged, cut, or of no known shape.</summary>
    public long BadFrames { get; internal set; }

    /// <summary>Requests in a row, up to the last one, that ended without a reply of their own.</summary>
    public int FailedInARow { get; internal set; }

    /// <summary>Times the line was lost and came back.</summary>
    public long Returns { get; private set; }

    /// <summary>Urgent frames written.</summary>
    public long Urgent => Interlocked.Read(ref _urgent);

    /// <summary>The last thing that went wrong, in words; empty when nothing has.</summary>
    public string LastTrouble => Volatile.Read(ref _trouble);

    internal void CountUrgent() => Interlocked.Increment(ref _urgent);

    internal void CountReturn() => Returns++;

    internal void Note(string trouble) => Volatile.Write(ref _trouble, trouble);
}
