using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;

namespace LoadTest.Hunting;

/// <summary>Storage that may stall or be lost; what became durable before stays so.</summary>
internal sealed class WildStorage : IJournalStorage
{
    private readonly VirtualStorage _inner;
    private readonly Pump _pump;
    private long _stalledUntil;
    private long _durable;
    private bool _isReporting;

    /// <summary>Frames in memory.</summary>
    public WildStorage(Pump pump, ulong seed)
    {
        _pump = pump;
        _inner = new VirtualStorage(null, pump, seed) { Synced = OnSynced };
    }

    public Action<long, IOException?>? Synced { get; set; }

    /// <summary>Whether it was lost.</summary>
    public bool IsLost { get; private set; }

    /// <summary>Every byte appended, durable or not.</summary>
    public ReadOnlyMemory<byte> Bytes => _inner.Bytes;

    /// <summary>Nothing becomes durable for a time.</summary>
    public void Stall(TimeSpan span) => _stalledUntil = _pump.GetTimestamp() + span.Ticks;

    /// <summary>Nothing becomes durable ever again; the next report is an error.</summary>
    public void Lose() => IsLost = true;

    public void Append(ReadOnlySpan<byte> frame) => _inner.Append(frame);

    public void RequestSync() => _inner.RequestSync();

    public void Dispose() => _inner.Dispose();

    private void OnSynced(long durable, IOException? error)
    {
        _durable = durable;
        if (IsLost)
        {
            Synced?.Invoke(durable, new IOException("No space left on the simulated disk."));
            return;
        }
        var wait = _stalledUntil - _pump.GetTimestamp();
        if (wait <= 0 && !_isReporting)
        {
            Synced?.Invoke(durable, error);
            return;
        }
        if (_isReporting)
            return;
        _isReporting = true;
        _pump.CreateTimer(_ => Report(), null, TimeSpan.FromTicks(wait), Timeout.InfiniteTimeSpan);
    }

    private void Report()
    {
        _isReporting = false;
        OnSynced(_durable, null);
    }
}
