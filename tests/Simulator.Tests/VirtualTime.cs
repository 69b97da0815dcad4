namespace LoadTest.SimulatorTests;

/// <summary>Time that jumps from timer to timer; one thread.</summary>
internal sealed class VirtualTime : TimeProvider
{
    private readonly List<VirtualTimer> _timers = [];
    private long _now;
    private long _order;

    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    public TimeSpan Now => TimeSpan.FromTicks(_now);

    public override long GetTimestamp() => _now;

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        var timer = new VirtualTimer(this, callback, state);
        _timers.Add(timer);
        timer.Change(dueTime, period);
        return timer;
    }

    /// <summary>Lets time pass, and every timer that falls due ring at its time.</summary>
    public void Pass(TimeSpan span)
    {
        var end = _now + span.Ticks;
        while (RingNext(end)) { }
        _now = end;
    }

    public void Pass(double seconds) => Pass(TimeSpan.FromSeconds(seconds));

    /// <summary>Rings the next timer that falls due by a time; false when there is none.</summary>
    public bool RingNext(long end)
    {
        VirtualTimer? next = null;
        foreach (var timer in _timers)
        {
            if (timer.Due <= end && (next is null || (timer.Due, timer.Order).CompareTo((next.Due, next.Order)) < 0))
            {
                next = timer;
            }
        }

        if (next is null)
        {
            return false;
        }

        _now = Math.Max(_now, next.Due);
        next.Ring();
        return true;
    }

    private sealed class VirtualTimer(VirtualTime time, TimerCallback callback, object? state) : ITimer
    {
        public long Due { get; private set; } = long.MaxValue;
        public long Order { get; private set; }

        public bool Change(TimeSpan dueTime, TimeSpan period)
        {
            Assert.Equal(Timeout.InfiniteTimeSpan, period);
            Due = dueTime == Timeout.InfiniteTimeSpan ? long.MaxValue : time._now + dueTime.Ticks;
            Order = time._order++;
            return true;
        }

        public void Ring()
        {
            Due = long.MaxValue;
            callback(state);
        }

        public void Dispose() => time._timers.Remove(this);

        public ValueTask DisposeAsync()
        {
            Dispose();
            return ValueTask.CompletedTask;
        }
    }
}
