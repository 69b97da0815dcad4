namespace LoadTest.Sequencer.Engine;

/// <summary>A thread that removes the load when the pump's heartbeat grows old: a pump that hangs cannot do it itself.</summary>
/// <remarks>For a pump in real time; in virtual time a late pump is no such thing. It acts once and ends.</remarks>
public sealed class DeadMan : IDisposable
{
    /// <summary>Oldest a heartbeat may be.</summary>
    public static readonly TimeSpan Limit = TimeSpan.FromMilliseconds(250);

    private static readonly TimeSpan LookEvery = TimeSpan.FromMilliseconds(25);
    private static readonly TimeSpan LongestFarewell = TimeSpan.FromSeconds(1);

    private readonly Func<TimeSpan> _sinceBeat;
    private readonly LoadRemoval _removal;
    private readonly object _gate = new();
    private readonly Thread _thread;
    private bool _isOver;

    /// <summary>Watches a pump from now on.</summary>
    /// <exception cref="ArgumentException">The pump runs in virtual time.</exception>
    public DeadMan(Pump pump, LoadRemoval removal)
        : this(BeatOf(pump), removal) { }

    /// <summary>Watches any heartbeat; tests hand in one of their own.</summary>
    internal DeadMan(Func<TimeSpan> sinceBeat, LoadRemoval removal)
    {
        ArgumentNullException.ThrowIfNull(removal);
        _sinceBeat = sinceBeat;
        _removal = removal;
        _thread = new Thread(Watch)
        {
            IsBackground = true,
            Name = "dead man",
            Priority = ThreadPriority.AboveNormal,
        };
        _thread.Start();
    }

    /// <summary>Stops watching; the load is left as it is.</summary>
    public void Dispose()
    {
        lock (_gate)
        {
            _isOver = true;
            Monitor.Pulse(_gate);
        }
        if (Thread.CurrentThread != _thread)
            _thread.Join(LongestFarewell);
    }

    private static Func<TimeSpan> BeatOf(Pump pump)
    {
        ArgumentNullException.ThrowIfNull(pump);
        return pump.IsVirtual
            ? throw new ArgumentException("A pump in virtual time has no heartbeat to watch.", nameof(pump))
            : FromNow(pump.Heart);
    }

    // What was silent before the watch began is not judged.
    private static Func<TimeSpan> FromNow(Heartbeat heart)
    {
        heart.TakeSilence();
        return heart.TakeSilence;
    }

    private void Watch()
    {
        while (true)
        {
            var age = _sinceBeat();
            if (age > Limit)
            {
                // Outside the lock, which the pump may be about to take for saying goodbye.
                if (!IsOver())
                    _removal.RemoveLoad(
                        new RemovalCause(
                            "LATE",
                            $"The program gave no sign of life for {age.TotalMilliseconds:0} ms; at most {Limit.TotalMilliseconds:0} ms are allowed. Free the machine of other work, then begin again."
                        )
                    );
                return;
            }
            lock (_gate)
            {
                if (_isOver || (Monitor.Wait(_gate, LookEvery) && _isOver))
                    return;
            }
        }
    }

    private bool IsOver()
    {
        lock (_gate)
            return _isOver;
    }
}
