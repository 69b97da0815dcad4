namespace LoadTest.Sequencer.Engine;

/// <summary>A timer of the pump: fires on the pump's thread, and can be set again without a new one.</summary>
internal sealed class PumpTimer(Pump pump, TimerCallback callback, object? state) : ITimer
{
    private TimeSpan _period = Timeout.InfiniteTimeSpan;
    private long _version;
    private bool _isDisposed;

    public bool Change(TimeSpan dueTime, TimeSpan period)
    {
        if (_isDisposed)
            return false;
        _version++;
        _period = period;
        if (dueTime != Timeout.InfiniteTimeSpan)
            pump.Schedule(this, _version, dueTime);
        return true;
    }

    public void Dispose()
    {
        _isDisposed = true;
        _version++;
    }

    public ValueTask DisposeAsync()
    {
        Dispose();
        return ValueTask.CompletedTask;
    }

    internal void Fire()
    {
        if (_period != Timeout.InfiniteTimeSpan && _period > TimeSpan.Zero)
            pump.Schedule(this, _version, _period);
        callback(state);
    }

    /// <summary>A moment at which a timer was due when it was set; dead once the timer was set again or disposed.</summary>
    internal readonly record struct Due(PumpTimer Timer, long Version)
    {
        public bool IsLive => Timer._version == Version;
    }

    /// <summary>Order in the pump's heap: by time, then in the order of setting.</summary>
    internal readonly record struct Rank(long At, long Sequence) : IComparable<Rank>
    {
        public int CompareTo(Rank other)
        {
            var byTime = At.CompareTo(other.At);
            return byTime != 0 ? byTime : Sequence.CompareTo(other.Sequence);
        }
    }
}
