using LoadTest.Sequencer.Engine;

namespace LoadTest.Instruments.Line;

/// <summary>What became of a frame at the write gate.</summary>
internal enum GateOutcome
{
    /// <summary>Written.</summary>
    Sent,

    /// <summary>Its permit no longer holds; not a byte left.</summary>
    Refused,

    /// <summary>An urgent frame waits and goes first; not a byte left.</summary>
    UrgentFirst,
}

/// <summary>The one lock through which every frame leaves; permit check and write happen inside it.</summary>
/// <remarks>
/// An urgent frame takes the gate from any thread and never throws. On a full-duplex line it is written at once. On a
/// half-duplex line it waits while a transaction is in flight, because its bytes would collide with the reply: on the pump it
/// is left waiting and becomes the next frame, on another thread the caller waits, at most until that transaction's
/// deadline, and then writes it itself. A pump that hangs therefore cannot hold it back. One that finds the line lost is the first
/// frame once it is back: what is read after that was read after it.
/// </remarks>
internal sealed class WriteGate(ILine line, TimeProvider time, LinkCounters counters)
{
    /// <summary>Longest single wait; the deadline is looked at again after it, at whatever pace the pump runs.</summary>
    private static readonly TimeSpan LongestWait = TimeSpan.FromMilliseconds(5);

    private readonly object _gate = new();
    private readonly List<Transaction> _waiting = [];
    private long _busyUntil;
    private int _urgentSent;
    private int _waitingCount;
    private Transaction? _lastUrgent;
    private Transaction? _owed;

    /// <summary>Urgent frames written so far; the pump compares it with what it has seen.</summary>
    public int UrgentSent => Volatile.Read(ref _urgentSent);

    /// <summary>The last urgent frame written.</summary>
    public Transaction? LastUrgent => Volatile.Read(ref _lastUrgent);

    /// <summary>Whether an urgent frame waits for the wire.</summary>
    public bool HasWaiting => Volatile.Read(ref _waitingCount) != 0;

    /// <summary>When the wire is free at the latest.</summary>
    public long BusyUntil => Volatile.Read(ref _busyUntil);

    /// <summary>Whether the caller is on the pump, where nobody may wait: its time would stand still.</summary>
    public bool IsPumpThread => time is Pump { IsCurrent: true };

    /// <summary>Writes an ordinary request, on the pump, unless its permit is gone or an urgent frame waits.</summary>
    /// <exception cref="IOException">The line is lost; some bytes may have left.</exception>
    public GateOutcome Send(Transaction request, long busyUntil)
    {
        lock (_gate)
        {
            if (_waiting.Count > 0)
                return GateOutcome.UrgentFirst;
            if (!request.MayLeave)
                return GateOutcome.Refused;
            _busyUntil = busyUntil;
            line.Send(request.Frame);
            return GateOutcome.Sent;
        }
    }

    /// <summary>On the pump: the wire is free from this moment on; the first waiting urgent frame leaves if it has come.</summary>
    public void Free(long from, long now)
    {
        if (!line.IsHalfDuplex)
            return;
        lock (_gate)
        {
            _busyUntil = from;
            WriteWaiting(now);
        }
    }

    /// <summary>On the pump: writes the first waiting urgent frame if the wire is free.</summary>
    public void Flush(long now)
    {
        if (!HasWaiting)
            return;
        lock (_gate)
        {
            WriteWaiting(now);
        }
    }

    /// <summary>On the pump: the line is back, and the wire free.</summary>
    /// <returns>The urgent frame that could not leave while it was lost; null when there was none.</returns>
    public Transaction? Renew()
    {
        lock (_gate)
        {
            _busyUntil = 0;
            return _owed;
        }
    }

    /// <summary>Writes a frame ahead of everything else: from any thread, synchronous, never throws.</summary>
    public void SendUrgent(Transaction frame)
    {
        try
        {
            lock (_gate)
            {
                if (!line.IsHalfDuplex || (_waiting.Count == 0 && time.GetTimestamp() >= _busyUntil))
                    Write(frame);
                else
                    Await(frame);
            }
        }
        catch (Exception trouble)
        {
            counters.Note($"Urgent frame of {line.Name} may not have left: {trouble.Message}");
        }
    }

    /// <summary>Leaves the frame waiting, and off the pump waits until it is written or its time has come. Gate held.</summary>
    private void Await(Transaction frame)
    {
        if (!_waiting.Contains(frame))
        {
            _waiting.Add(frame);
            _waitingCount = _waiting.Count;
        }
        if (IsPumpThread)
            return;
        while (_waiting.Contains(frame))
        {
            var remaining = time.GetElapsedTime(time.GetTimestamp(), _busyUntil);
            if (remaining <= TimeSpan.Zero)
                WriteWaiting(time.GetTimestamp());
            else
                Monitor.Wait(_gate, remaining < LongestWait ? remaining + TimeSpan.FromMilliseconds(1) : LongestWait);
        }
    }

    /// <summary>Writes the first waiting frame once the wire is free. Gate held.</summary>
    private void WriteWaiting(long now)
    {
        if (_waiting.Count == 0 || now < _busyUntil)
            return;
        var frame = _waiting[0];
        _waiting.RemoveAt(0);
        _waitingCount = _waiting.Count;
        Monitor.PulseAll(_gate);
        try
        {
            Write(frame);
        }
        catch (IOException trouble)
        {
            counters.Note($"Urgent frame of {line.Name} may not have left: {trouble.Message}");
        }
    }

    private void Write(Transaction frame)
    {
        if (line.IsHalfDuplex)
            _busyUntil = time.GetTimestamp() + frame.DeadlineTicks;
        _lastUrgent = frame;
        _urgentSent = unchecked(_urgentSent + 1);
        counters.CountUrgent();
        _owed = frame;
        try
        {
            line.Send(frame.Frame);
            _owed = null;
            frame.Count?.Write();
        }
        catch
        {
            frame.Count?.Fail();
            throw;
        }
        finally
        {
            // A line that is lost is busy with nothing.
            if (_owed is not null)
                _busyUntil = 0;
        }
    }
}
