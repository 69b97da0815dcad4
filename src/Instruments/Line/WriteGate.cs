using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Text;

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

    /// <summary>The line was opened again, and the pump has not heard of it: nobody knows who is there; not a byte left.</summary>
    Stranger,
}

/// <summary>The one lock through which every frame leaves; permit check and write happen inside it.</summary>
/// <remarks>
/// An urgent frame takes the gate from any thread and never throws. On a full-duplex line it is written at once. On a
/// half-duplex line it waits while a transaction is in flight, because its bytes would collide with the reply: on the pump it
/// is left waiting and becomes the next frame, on another thread the caller waits, at most until that transaction's
/// deadline, and then writes it itself. A pump that hangs therefore cannot hold it back. From the moment an urgent frame is asked
/// for until something is again permitted to energise through this gate, it is owed: whoever opens the lost line again
/// writes it first, written before or not, because nobody knows what became of it there.
/// </remarks>
internal sealed class WriteGate(ILine line, TimeProvider time, LinkCounters counters)
{
    /// <summary>Written urgent frames whose answers the pump is still told of; of more at once, nobody could say which answer is whose.</summary>
    private const int MostUnseen = 4;

    /// <summary>Longest single wait; the deadline is looked at again after it, at whatever pace the pump runs.</summary>
    private static readonly TimeSpan LongestWait = TimeSpan.FromMilliseconds(5);

    private readonly object _gate = new();
    private readonly List<Transaction> _waiting = [];
    private readonly List<Transaction> _owed = [];
    private readonly List<Transaction> _unseen = [];
    private long _busyUntil;
    private int _waitingCount;
    private int _unseenCount;
    private bool _isStranger;

    /// <summary>Whether urgent frames were written of which the pump has not been told.</summary>
    public bool HasUnseen => Volatile.Read(ref _unseenCount) != 0;

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
            if (_isStranger)
                return GateOutcome.Stranger;
            if (!request.MayLeave)
                return GateOutcome.Refused;
            if (request.Permit is not null)
                _owed.Clear();
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

    /// <summary>On the pump: the urgent frames written since the last look, in order; those on a line it does not know to be back come later.</summary>
    public void TakeUnseen(Action<Transaction> take)
    {
        lock (_gate)
        {
            if (_isStranger)
                return;
            foreach (var frame in _unseen)
                take(frame);
            _unseen.Clear();
            _unseenCount = 0;
        }
    }

    /// <summary>On whatever thread opened the lost line again: lets others write on it, and writes what is owed before anybody else can.</summary>
    public void Reopen(Action open)
    {
        lock (_gate)
        {
            _isStranger = true;
            _busyUntil = 0;
            _waiting.Clear();
            _waitingCount = 0;
            _unseen.Clear();
            _unseenCount = 0;
            Monitor.PulseAll(_gate);
            open();
            foreach (var frame in _owed.ToArray())
                Leave(frame);
        }
    }

    /// <summary>On the pump: it has heard that the line is back.</summary>
    public void Welcome()
    {
        lock (_gate)
            _isStranger = false;
    }

    /// <summary>Writes a frame ahead of everything else: from any thread, synchronous, never throws.</summary>
    public void SendUrgent(Transaction frame)
    {
        lock (_gate)
        {
            if (!_owed.Contains(frame))
                _owed.Add(frame);
            Leave(frame);
        }
    }

    /// <summary>Writes the frame, at once or when the wire is free. Gate held.</summary>
    private void Leave(Transaction frame)
    {
        if (!line.IsHalfDuplex || (_waiting.Count == 0 && time.GetTimestamp() >= _busyUntil))
            Write(frame);
        else
            Await(frame);
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
        Write(frame);
    }

    /// <summary>Writes it now and counts what became of it. Gate held.</summary>
    private void Write(Transaction frame)
    {
        if (line.IsHalfDuplex)
            _busyUntil = time.GetTimestamp() + frame.DeadlineTicks;
        // In memory the answer may come before the write returns.
        var isTold = _unseen.Count < MostUnseen;
        if (isTold)
            _unseen.Add(frame);
        _unseenCount = _unseen.Count;
        try
        {
            line.Send(frame.Frame);
            frame.Count?.Write();
            counters.CountUrgent();
        }
        catch (Exception trouble)
        {
            // A line that is lost is busy with nothing, and no answer comes from it.
            _busyUntil = 0;
            if (isTold)
                _unseen.Remove(frame);
            _unseenCount = _unseen.Count;
            frame.Count?.Fail();
            counters.Note($"Urgent frame of {line.Name} may not have left: {SentenceText.Clause(trouble)}.");
        }
    }
}
