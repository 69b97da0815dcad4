using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Journaling;

/// <summary>The journal of a run as the engine sees it: numbered entries, acknowledged once durable.</summary>
/// <remarks>
/// Lives on the pump. Bytes depend on the entries alone: how often they were synced leaves no trace. Once storage is in trouble
/// it is never touched again; frames not known durable, and those that come later, are kept in <see cref="Rest"/>.
/// </remarks>
public sealed class JournalWriter : IJournal, IDisposable
{
    /// <summary>Longest time a frame nobody asked to sync waits before it is made durable.</summary>
    public static readonly TimeSpan LongestExposure = TimeSpan.FromMilliseconds(100);

    /// <summary>Longest time a frame may wait until it is durable; a disk that takes longer counts as lost.</summary>
    public static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(2);

    private readonly IJournalStorage _storage;
    private readonly TimeProvider? _time;
    private readonly ITimer? _overdue;
    private readonly FrameWriter _frames = new();
    private readonly List<(long Number, TaskCompletionSource Done)> _waiting = [];
    private readonly UnsafeFrames _unsafe = new();
    private readonly TaskCompletionSource<string> _lost = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private JournalGoneException? _gone;
    private long _lookAt;
    private bool _isWatching;

    /// <summary>Starts an empty journal on some storage, which it then owns.</summary>
    /// <param name="storage">Where frames go.</param>
    /// <param name="time">The pump's time, to notice a disk that does not answer; null to wait for ever.</param>
    public JournalWriter(IJournalStorage storage, TimeProvider? time = null)
    {
        _storage = storage;
        _storage.Synced = Synced;
        _time = time;
        _overdue = time?.CreateTimer(_ => LookAtOldest(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    /// <inheritdoc/>
    public long Acknowledged { get; private set; } = -1;

    /// <inheritdoc/>
    public Task<string> Lost => _lost.Task;

    /// <summary>What happened to the storage; null while all is well.</summary>
    public string? Trouble { get; private set; }

    /// <inheritdoc/>
    public TimeSpan Exposure { get; private set; }

    /// <summary>How many entries were appended.</summary>
    public long Count => _frames.Count;

    /// <summary>Hash of the last frame appended, lower-case hexadecimal.</summary>
    public string Head => Convert.ToHexStringLower(_frames.Head);

    /// <summary>
    /// Bytes of every frame after the last acknowledged one, as the file would go on with them; of every frame from the first where the file
    /// itself was taken away and could still be read.
    /// </summary>
    public ReadOnlyMemory<byte> Rest =>
        IsRestWhole ? (byte[])[.. AcknowledgedOf(_gone!.Kept), .. _unsafe.Bytes.Span] : _unsafe.Bytes;

    /// <summary>Whether <see cref="Rest"/> begins with the first frame.</summary>
    public bool IsRestWhole => _gone is { Kept.Length: > 0 };

    /// <inheritdoc/>
    public long Append(JournalEntry entry)
    {
        var frame = _frames.Next(entry);
        _unsafe.Add(frame, _time?.GetTimestamp() ?? 0);
        if (Trouble is null)
        {
            _storage.Append(frame);
            if (!_isWatching)
                Watch(LongestWait);
        }
        return _frames.Count - 1;
    }

    /// <inheritdoc/>
    public Task SyncAsync(long number)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(number, _frames.Count);
        if (number <= Acknowledged)
            return Task.CompletedTask;
        if (Trouble is { } trouble)
            return Task.FromException(new IOException(trouble));
        // Continuations are posted, so that none runs inside the storage's report.
        var done = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        _waiting.Add((number, done));
        _storage.RequestSync();
        return done.Task;
    }

    /// <summary>Makes everything durable, blocking, and closes the storage.</summary>
    public void Dispose()
    {
        _overdue?.Dispose();
        _storage.Dispose();
        _frames.Dispose();
    }

    private void Synced(long count, IOException? error)
    {
        if (Trouble is not null)
            return;
        if (error is not null)
        {
            _gone = error as JournalGoneException;
            Lose(error.Message);
            return;
        }
        if (_time is not null && _unsafe.Oldest is { } oldest)
        {
            var waited = _time.GetElapsedTime(oldest);
            Exposure = waited > Exposure ? waited : Exposure;
        }
        _unsafe.Drop(count - 1 - Acknowledged);
        Acknowledged = count - 1;
        _waiting.RemoveAll(w => w.Number <= Acknowledged && w.Done.TrySetResult());
    }

    // One timer at a time: a fresh one for every frame would cost more than the frame.
    private void Watch(TimeSpan after)
    {
        _isWatching = _overdue is not null;
        if (_time is not null)
            _lookAt = _time.GetTimestamp() + (long)(after.TotalSeconds * _time.TimestampFrequency);
        _overdue?.Change(after, Timeout.InfiniteTimeSpan);
    }

    // The storage may have written frames that it could not acknowledge any more: those are among the unsafe ones.
    private byte[] AcknowledgedOf(byte[] kept)
    {
        var reader = new JournalReader(new MemoryStream(kept));
        var length = 0L;
        for (var count = 0L; count <= Acknowledged && reader.Next(out _); count++)
            length = reader.Length;
        return kept[..(int)length];
    }

    private void LookAtOldest()
    {
        _isWatching = false;
        if (Trouble is not null || _unsafe.Oldest is not { } oldest)
            return;
        // A process that was stopped could not hear of the disk: what it says now is waited for first.
        if (_time!.GetElapsedTime(_lookAt) > DeadMan.Limit)
        {
            Watch(LongestWait);
            return;
        }
        var waited = _time.GetElapsedTime(oldest);
        if (waited >= LongestWait)
            Lose(
                $"Frames have waited {waited.TotalSeconds:0.0} s for the disk; {LongestWait.TotalSeconds} s are allowed."
            );
        else
            Watch(LongestWait - waited);
    }

    private void Lose(string what)
    {
        Trouble =
            $"Journal storage: {what} Entries up to {Acknowledged} are durable. "
            + "Free space or mend the disk, then start a new run; this journal is not written any further.";
        foreach (var (_, done) in _waiting)
            done.TrySetException(new IOException(Trouble));
        _waiting.Clear();
        _lost.TrySetResult(Trouble);
    }
}
