namespace LoadTest.Records.Journaling;

/// <summary>Frames in a real file, written and synced by a thread of their own.</summary>
/// <remarks>
/// The pump only copies bytes into a buffer: a file system busy with a sync must not hold up a trip. The thread writes all
/// that has gathered with one call, syncs, and posts how far it came. After the first error it ends and the handle is left alone:
/// a sync repeated after an error may claim success for data that is gone.
/// </remarks>
public sealed class FileStorage : IJournalStorage
{
    private readonly Stream _file;
    private readonly Action _makeDurable;
    private readonly Action _demandPlace;
    private readonly SynchronizationContext _pump;
    private readonly TimeSpan _exposure;
    private readonly Thread _thread;
    private readonly object _gate = new();
    private MemoryStream _gathering = new();
    private MemoryStream _writing = new();
    private long _count;
    private bool _isSyncWanted;
    private bool _isClosing;
    private bool _hasFailed;

    /// <summary>Uses a stream; tests hand in one that fails.</summary>
    /// <param name="file">Takes the bytes; owned.</param>
    /// <param name="makeDurable">Returns once they cannot be lost.</param>
    /// <param name="pump">Where reports are posted.</param>
    /// <param name="exposure">How long frames gather that nobody asked to sync.</param>
    /// <param name="demandPlace">Throws when the file is no longer the one at its path; null where nobody looks.</param>
    internal FileStorage(
        Stream file,
        Action makeDurable,
        SynchronizationContext pump,
        TimeSpan exposure,
        Action? demandPlace = null
    )
    {
        _file = file;
        _makeDurable = makeDurable;
        _demandPlace = demandPlace ?? (() => { });
        _pump = pump;
        _exposure = exposure;
        _thread = new Thread(WriteAndSync) { IsBackground = true, Name = "journal" };
        _thread.Start();
    }

    /// <inheritdoc/>
    public Action<long, IOException?>? Synced { get; set; }

    /// <summary>Creates the file, which must not exist, and makes its name durable.</summary>
    /// <exception cref="IOException">It exists already, or cannot be created.</exception>
    public static FileStorage Create(string path, SynchronizationContext pump)
    {
        var file = new FileStream(
            path,
            new FileStreamOptions
            {
                Mode = FileMode.CreateNew,
                Access = FileAccess.ReadWrite,
                Share = FileShare.Read,
                BufferSize = 0,
            }
        );
        DirectorySync.Sync(Path.GetDirectoryName(Path.GetFullPath(path))!);
        return new FileStorage(
            file,
            () => file.Flush(flushToDisk: true),
            pump,
            JournalWriter.LongestExposure,
            new JournalPlace(path, file).Demand
        );
    }

    /// <inheritdoc/>
    public void Append(ReadOnlySpan<byte> frame)
    {
        lock (_gate)
        {
            // The first wakes the thread; those that follow must not shorten its gathering.
            if (_gathering.Length == 0)
                Monitor.Pulse(_gate);
            _gathering.Write(frame);
            _count++;
        }
    }

    /// <inheritdoc/>
    public void RequestSync()
    {
        lock (_gate)
        {
            // What is being written already is synced anyway.
            _isSyncWanted = _gathering.Length > 0;
            Monitor.Pulse(_gate);
        }
    }

    /// <summary>Writes and syncs what is left, and closes the file.</summary>
    public void Dispose()
    {
        lock (_gate)
        {
            _isClosing = true;
            Monitor.Pulse(_gate);
        }
        _thread.Join();
        // The error was reported when it happened; a handle that failed may fail again on closing.
        try
        {
            _file.Dispose();
        }
        catch (IOException) when (_hasFailed) { }
    }

    private void WriteAndSync()
    {
        while (TakeGathered() is { } count)
        {
            try
            {
                // Before, because a write behind a cut would fill the gap with zeros; after, because what is acknowledged must be found again.
                _demandPlace();
                _file.Write(_writing.GetBuffer(), 0, (int)_writing.Length);
                _makeDurable();
                _demandPlace();
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException or ObjectDisposedException)
            {
                _hasFailed = true;
                Report(count, e as IOException ?? new IOException(e.Message, e));
                return;
            }
            Report(count, null);
        }
    }

    // Swaps the buffers once a sync is wanted, frames have waited long enough, or the end has come; null at the end.
    private long? TakeGathered()
    {
        lock (_gate)
        {
            while (_gathering.Length == 0)
            {
                if (_isClosing)
                    return null;
                Monitor.Wait(_gate);
            }
            if (!_isSyncWanted && !_isClosing)
                Monitor.Wait(_gate, _exposure);
            _isSyncWanted = false;
            (_gathering, _writing) = (_writing, _gathering);
            _gathering.SetLength(0);
            return _count;
        }
    }

    private void Report(long count, IOException? error) => _pump.Post(_ => Synced?.Invoke(count, error), null);
}
