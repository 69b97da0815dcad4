namespace LoadTest.Simulator.Lines;

/// <summary>Bytes waiting for their time; in order, each by the time provider's timer.</summary>
internal sealed class Outbox : IDisposable
{
    private readonly TimeProvider _time;
    private readonly Action<ReadOnlyMemory<byte>> _deliver;
    private readonly ITimer _timer;
    private readonly Queue<(long Due, byte[] Bytes)> _waiting = new();
    private readonly long _start;
    private long _lastDue;

    public Outbox(TimeProvider time, Action<ReadOnlyMemory<byte>> deliver)
    {
        _time = time;
        _deliver = deliver;
        _start = time.GetTimestamp();
        _timer = time.CreateTimer(
            static box => ((Outbox)box!).Ring(),
            this,
            Timeout.InfiniteTimeSpan,
            Timeout.InfiniteTimeSpan
        );
    }

    private TimeSpan Now => _time.GetElapsedTime(_start);

    /// <summary>Sends after a delay, and never before an earlier answer.</summary>
    public void Send(byte[] bytes, TimeSpan after)
    {
        var now = Now.Ticks;
        _lastDue = Math.Max(_lastDue, now + after.Ticks);
        _waiting.Enqueue((_lastDue, bytes));
        if (_waiting.Count == 1)
        {
            Arm(now);
        }
    }

    /// <summary>Sends when everything before it has gone, and so long besides.</summary>
    public void SendBehind(byte[] bytes, TimeSpan each) =>
        Send(bytes, TimeSpan.FromTicks(Math.Max(_lastDue - Now.Ticks, 0)) + each);

    public void Clear()
    {
        _waiting.Clear();
        _lastDue = 0;
        _timer.Change(Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    public void Dispose() => _timer.Dispose();

    private void Arm(long now) =>
        _timer.Change(TimeSpan.FromTicks(Math.Max(0, _waiting.Peek().Due - now)), Timeout.InfiniteTimeSpan);

    private void Ring()
    {
        // Real timers count whole milliseconds and may ring up to one early.
        var now = Now.Ticks;
        while (_waiting.Count > 0 && _waiting.Peek().Due <= now + TimeSpan.TicksPerMillisecond - 1)
        {
            _deliver(_waiting.Dequeue().Bytes);
        }

        if (_waiting.Count > 0)
        {
            Arm(now);
        }
    }
}
