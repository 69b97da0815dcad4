using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Journaling;

/// <summary>The journal of a run as the engine sees it: numbered entries, acknowledged once durable.</summary>
/// <remarks>Lives on the pump. Bytes depend on the entries alone: how often they were synced leaves no trace.</remarks>
public sealed class JournalWriter : IJournal, IDisposable
{
    /// <summary>Longest time a frame nobody asked to sync waits before it is made durable.</summary>
    public static readonly TimeSpan LongestExposure = TimeSpan.FromMilliseconds(100);

    private readonly IJournalStorage _storage;
    private readonly FrameWriter _frames = new();
    private readonly List<(long Number, TaskCompletionSource Done)> _waiting = [];
    private string? _trouble;

    /// <summary>Starts an empty journal on some storage, which it then owns.</summary>
    public JournalWriter(IJournalStorage storage)
    {
        _storage = storage;
        _storage.Synced = Synced;
    }

    /// <inheritdoc/>
    public long Acknowledged { get; private set; } = -1;

    /// <summary>How many entries were appended.</summary>
    public long Count => _frames.Count;

    /// <summary>Hash of the last frame appended, lower-case hexadecimal.</summary>
    public string Head => Convert.ToHexStringLower(_frames.Head);

    /// <inheritdoc/>
    public long Append(JournalEntry entry)
    {
        ThrowIfInTrouble();
        _storage.Append(_frames.Next(entry));
        return _frames.Count - 1;
    }

    /// <inheritdoc/>
    public Task SyncAsync(long number)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(number, _frames.Count);
        if (number <= Acknowledged)
            return Task.CompletedTask;
        if (_trouble is { } trouble)
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
        _storage.Dispose();
        _frames.Dispose();
    }

    private void Synced(long count, IOException? error)
    {
        if (error is not null)
        {
            _trouble ??=
                $"Journal storage: {error.Message} Entries up to {Acknowledged} are durable. "
                + "Free space or mend the disk, then start a new run; this journal is not written any further.";
            FailWaiting(_trouble);
            return;
        }
        Acknowledged = count - 1;
        _waiting.RemoveAll(w => w.Number <= Acknowledged && w.Done.TrySetResult());
    }

    private void FailWaiting(string trouble)
    {
        foreach (var (_, done) in _waiting)
            done.TrySetException(new IOException(trouble));
        _waiting.Clear();
    }

    private void ThrowIfInTrouble()
    {
        if (_trouble is { } trouble)
            throw new IOException(trouble);
    }
}
