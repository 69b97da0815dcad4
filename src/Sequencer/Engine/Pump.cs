namespace LoadTest.Sequencer.Engine;

/// <summary>One thread, one queue, one clock: everything in src waits on it and runs on it.</summary>
/// <remarks>
/// At once the <see cref="TimeProvider"/> and the <see cref="SynchronizationContext"/> of a run. Timestamps count
/// 100 ns ticks since the pump was made. Many pumps run side by side; nothing is static. Three modes:
/// <list type="bullet">
/// <item><see cref="Virtual"/>: time jumps to the next timer when the queue is empty; a post or a look at the clock from
/// another thread throws; nothing left to wait for is a <see cref="PumpDeadlockException"/>.</item>
/// <item><see cref="Paced"/>: k × real time, posts from outside allowed.</item>
/// <item><see cref="Real"/>: real time.</item>
/// </list>
/// </remarks>
public sealed class Pump : TimeProvider
{
    /// <summary>How long an idle pump sleeps at most, so that its heartbeat never grows old by waiting.</summary>
    private static readonly TimeSpan LongestWait = TimeSpan.FromMilliseconds(50);

    /// <summary>The system's waits count whole milliseconds; what is shorter is waited so long, or looked out for.</summary>
    private static readonly TimeSpan LeastWait = TimeSpan.FromMilliseconds(1);

    private readonly object _gate = new();
    private readonly Queue<(SendOrPostCallback Work, object? State)> _queue = new();
    private readonly PriorityQueue<PumpTimer.Due, PumpTimer.Rank> _timers = new();
    private readonly PumpContext _context;
    private readonly DateTimeOffset _startUtc;
    private readonly double _pace;
    private readonly bool _isExact;
    private readonly long _origin = System.GetTimestamp();
    private long _now;
    private long _sequence;
    private bool _isWaiting;
    private int _thread = Environment.CurrentManagedThreadId;

    private Pump(double pace, DateTimeOffset startUtc, bool isExact)
    {
        _pace = pace;
        _isExact = isExact;
        _startUtc = startUtc;
        _context = new PumpContext(this);
    }

    /// <summary>A pump in virtual time that starts at this wall time.</summary>
    public static Pump Virtual(DateTimeOffset startUtc) => new(0, startUtc, isExact: true);

    /// <summary>A pump at <paramref name="pace"/> × real time that starts at this wall time.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The pace is not a finite number above zero.</exception>
    public static Pump Paced(double pace, DateTimeOffset startUtc) =>
        double.IsFinite(pace) && pace > 0
            ? new Pump(pace, startUtc, isExact: pace > 1)
            : throw new ArgumentOutOfRangeException(nameof(pace), pace, "A pace is a finite number above zero.");

    /// <summary>A pump in real time.</summary>
    /// <param name="isExact">
    /// Whether the last millisecond of a wait is spent looking at the clock, which costs as much of a core: for simulated lines at the pace
    /// of a baud rate. Otherwise a timer comes up to a millisecond late.
    /// </param>
    public static Pump Real(bool isExact = false) => new(1, System.GetUtcNow(), isExact);

    /// <summary>Whether time jumps instead of passing.</summary>
    public bool IsVirtual => _pace == 0;

    /// <summary>The context whose posts run on this pump, for reader threads and journals.</summary>
    public SynchronizationContext Context => _context;

    /// <summary>Whether the caller is on the pump's own thread.</summary>
    public bool IsCurrent => Environment.CurrentManagedThreadId == _thread;

    /// <summary>When the pump began pieces of work or woke up; none in virtual time.</summary>
    public Heartbeat Heart { get; } = new();

    /// <inheritdoc/>
    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    /// <inheritdoc/>
    public override TimeZoneInfo LocalTimeZone => TimeZoneInfo.Utc;

    /// <summary>Ticks of 100 ns since the pump was made; never goes back.</summary>
    public override long GetTimestamp()
    {
        if (!IsVirtual)
            return (long)(System.GetElapsedTime(_origin).Ticks * _pace);
        DemandOwnThread("looked at the clock");
        return _now;
    }

    /// <summary>Wall time: a label, never used for durations.</summary>
    public override DateTimeOffset GetUtcNow() => _startUtc + TimeSpan.FromTicks(GetTimestamp());

    /// <inheritdoc/>
    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        ArgumentNullException.ThrowIfNull(callback);
        var timer = new PumpTimer(this, callback, state);
        timer.Change(dueTime, period);
        return timer;
    }

    /// <summary>Runs an action on the pump as soon as the queue allows.</summary>
    public void Post(Action action) => Enqueue(static a => ((Action)a!)(), action);

    /// <summary>The work that is running takes so long: virtual time passes under it, and what falls due meanwhile comes late.</summary>
    /// <param name="span">Zero or more.</param>
    /// <exception cref="InvalidOperationException">Time is not virtual, or the caller is not on the pump.</exception>
    public void Pass(TimeSpan span)
    {
        if (!IsVirtual)
            throw new InvalidOperationException("Real time passes by itself; only virtual time can be made to.");
        DemandOwnThread("let time pass");
        ArgumentOutOfRangeException.ThrowIfLessThan(span, TimeSpan.Zero);
        _now += span.Ticks;
    }

    /// <summary>Runs a task to its end on the calling thread, which becomes the pump's.</summary>
    /// <exception cref="PumpDeadlockException">In virtual time, the task waits and nothing is left that could wake it.</exception>
    public void Run(Func<Task> main)
    {
        ArgumentNullException.ThrowIfNull(main);
        var previous = SynchronizationContext.Current;
        _thread = Environment.CurrentManagedThreadId;
        SynchronizationContext.SetSynchronizationContext(_context);
        try
        {
            if (!IsVirtual)
                Heart.Begin();
            var task = main();
            while (!task.IsCompleted)
                Turn();
            task.GetAwaiter().GetResult();
        }
        finally
        {
            SynchronizationContext.SetSynchronizationContext(previous);
        }
    }

    /// <summary>Runs a task to its end on the calling thread and returns its result.</summary>
    public T Run<T>(Func<Task<T>> main)
    {
        var result = default(T)!;
        // A body in braces returns no value, so this is the overload above and not this one again.
        Run(async () =>
        {
            result = await main();
        });
        return result;
    }

    internal void Enqueue(SendOrPostCallback work, object? state)
    {
        if (IsVirtual)
        {
            DemandOwnThread("posted work");
            _queue.Enqueue((work, state));
            return;
        }
        lock (_gate)
        {
            _queue.Enqueue((work, state));
            Wake();
        }
    }

    /// <summary>Schedules a timer's due moment; ties fire in the order they were scheduled.</summary>
    internal void Schedule(PumpTimer timer, long version, TimeSpan wait)
    {
        var due = new PumpTimer.Due(timer, version);
        if (IsVirtual)
        {
            DemandOwnThread("set a timer");
            _timers.Enqueue(due, new PumpTimer.Rank(_now + Math.Max(0, wait.Ticks), _sequence++));
            return;
        }
        lock (_gate)
        {
            _timers.Enqueue(due, new PumpTimer.Rank(GetTimestamp() + Math.Max(0, wait.Ticks), _sequence++));
            Wake();
        }
    }

    private void Turn()
    {
        if (IsVirtual)
        {
            if (_queue.TryDequeue(out var item))
                item.Work(item.State);
            else
                JumpToNextTimer().Fire();
            return;
        }
        // In real time a steady stream of posts must not hold a deadline back: what is due goes first.
        if (TakeDueTimer() is { } due)
        {
            Beat();
            due.Fire();
        }
        if (TryTakeWork(out var work, out var state))
        {
            Beat();
            work(state);
            return;
        }
        WaitForWork();
    }

    private PumpTimer JumpToNextTimer()
    {
        while (_timers.TryDequeue(out var due, out var rank))
        {
            if (!due.IsLive)
                continue;
            _now = Math.Max(_now, rank.At);
            return due.Timer;
        }
        throw new PumpDeadlockException(TimeSpan.FromTicks(_now));
    }

    private bool TryTakeWork(out SendOrPostCallback work, out object? state)
    {
        lock (_gate)
        {
            var taken = _queue.TryDequeue(out var item);
            (work, state) = item;
            return taken;
        }
    }

    /// <summary>The next live timer that is due; null when there is none.</summary>
    private PumpTimer? TakeDueTimer()
    {
        lock (_gate)
        {
            while (_timers.TryPeek(out var due, out var rank))
            {
                if (!due.IsLive)
                {
                    _timers.Dequeue();
                    continue;
                }
                if (rank.At > GetTimestamp())
                    break;
                _timers.Dequeue();
                return due.Timer;
            }
            return null;
        }
    }

    /// <summary>Waits until something is queued or a timer is due, but no longer than a heartbeat may be apart.</summary>
    private void WaitForWork()
    {
        lock (_gate)
        {
            if (_queue.Count == 0)
            {
                _isWaiting = true;
                Monitor.Wait(_gate, RealWait());
                _isWaiting = false;
            }
        }
        Beat();
    }

    /// <summary>Wakes the pump where it waits; a pulse nobody waits for costs as much as one that wakes.</summary>
    private void Wake()
    {
        if (_isWaiting)
            Monitor.Pulse(_gate);
    }

    private TimeSpan RealWait() =>
        _timers.TryPeek(out _, out var rank) ? WaitFor(rank.At - GetTimestamp(), _pace, _isExact) : LongestWait;

    /// <summary>Real time to wait for a timer: rounded up, so that no timer is found early.</summary>
    /// <param name="ticks">Pump time until it is due, ticks of 100 ns; zero or negative when it is.</param>
    /// <param name="pace">Pump time over real time.</param>
    /// <param name="isExact">Whether less than a millisecond is waited as it is; one millisecond otherwise.</param>
    /// <returns>Zero to 50 ms. 3 ms of pump time at twice the pace of real time are 1.5 ms.</returns>
    internal static TimeSpan WaitFor(long ticks, double pace, bool isExact) =>
        ticks <= 0
            ? TimeSpan.Zero
            : TimeSpan.FromTicks(
                (long)Math.Ceiling(Math.Clamp(ticks / pace, isExact ? 0 : LeastWait.Ticks, LongestWait.Ticks))
            );

    private void Beat()
    {
        if (!IsVirtual)
            Heart.Beat();
    }

    private void DemandOwnThread(string deed)
    {
        if (!IsCurrent)
            throw new InvalidOperationException(
                $"Another thread {deed} on a pump in virtual time; only the pump's own thread may, or runs would not repeat."
            );
    }

    /// <summary>Posts to the pump; a synchronous send is refused from any other thread.</summary>
    private sealed class PumpContext(Pump pump) : SynchronizationContext
    {
        public override void Post(SendOrPostCallback d, object? state) => pump.Enqueue(d, state);

        public override void Send(SendOrPostCallback d, object? state)
        {
            pump.DemandOwnThread("sent work");
            d(state);
        }

        public override SynchronizationContext CreateCopy() => this;
    }
}
