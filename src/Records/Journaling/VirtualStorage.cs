namespace LoadTest.Records.Journaling;

/// <summary>Frames whose syncs complete in virtual time: in memory, or in a file with one real sync at the end.</summary>
/// <remarks>
/// The delay of each sync comes from a seed: 0.2 ms to 0.5 ms mostly, now and then up to 9 ms, as measured on a local disk.
/// Only + and × make it, so it is the same on every machine.
/// </remarks>
public sealed class VirtualStorage : IJournalStorage
{
    private const double LeastMilliseconds = 0.2;
    private const double UsualSpreadMilliseconds = 0.3;
    private const double RareMilliseconds = 8.5;

    private readonly ITimer _timer;
    private readonly MemoryStream _bytes = new();
    private readonly FileStream? _file;
    private readonly string? _path;
    private ulong _state;
    private State _now;
    private long _count;
    private long _durable;
    private long _syncing;
    private bool _isSyncWanted;
    private bool _isDisposed;

    /// <summary>Starts empty.</summary>
    /// <param name="path">File to write, which must not exist, so that a long run takes no memory; null for memory alone.</param>
    /// <param name="time">The pump's time.</param>
    /// <param name="seed">Decides how long each sync takes.</param>
    public VirtualStorage(string? path, TimeProvider time, ulong seed)
    {
        _path = path;
        if (path is not null)
            _file = new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.Read, bufferSize: 65536);
        _state = seed;
        _timer = time.CreateTimer(_ => Due(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    private enum State
    {
        Idle,
        Gathering,
        Syncing,
    }

    /// <inheritdoc/>
    public Action<long, IOException?>? Synced { get; set; }

    /// <summary>Every byte appended so far, durable or not; empty where a file takes them.</summary>
    public ReadOnlyMemory<byte> Bytes => _bytes.GetBuffer().AsMemory(0, (int)_bytes.Length);

    /// <inheritdoc/>
    public void Append(ReadOnlySpan<byte> frame)
    {
        if (_file is not null)
            _file.Write(frame);
        else
            _bytes.Write(frame);
        _count++;
        if (_now == State.Idle)
            Gather();
    }

    /// <inheritdoc/>
    public void RequestSync()
    {
        if (_now == State.Syncing)
            _isSyncWanted = true;
        else if (_durable < _count)
            StartSync();
    }

    /// <summary>Ends the file with one real sync, if it was given a path.</summary>
    public void Dispose()
    {
        if (_isDisposed)
            return;
        _isDisposed = true;
        _timer.Dispose();
        if (_file is null)
            return;
        using var file = _file;
        file.Flush(flushToDisk: true);
        DirectorySync.Sync(Path.GetDirectoryName(Path.GetFullPath(_path!))!);
    }

    private void Gather()
    {
        _now = State.Gathering;
        _timer.Change(JournalWriter.LongestExposure, Timeout.InfiniteTimeSpan);
    }

    private void StartSync()
    {
        _now = State.Syncing;
        _syncing = _count;
        _isSyncWanted = false;
        _timer.Change(NextDelay(), Timeout.InfiniteTimeSpan);
    }

    private void Due()
    {
        if (_now == State.Gathering)
        {
            StartSync();
            return;
        }
        _durable = _syncing;
        if (_durable == _count)
            _now = State.Idle;
        else if (_isSyncWanted)
            StartSync();
        else
            Gather();
        Synced?.Invoke(_durable, null);
    }

    // SplitMix64; the 32nd power makes long delays rare.
    private TimeSpan NextDelay()
    {
        unchecked
        {
            _state += 0x9E3779B97F4A7C15UL;
            var z = (_state ^ (_state >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            z ^= z >> 31;
            var u = (z >> 11) * (1.0 / (1UL << 53));
            var rare = u * u;
            for (var i = 0; i < 4; i++)
                rare *= rare;
            var milliseconds = LeastMilliseconds + UsualSpreadMilliseconds * u + RareMilliseconds * rare;
            return TimeSpan.FromTicks((long)(milliseconds * TimeSpan.TicksPerMillisecond));
        }
    }
}
