using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Line;

/// <summary>A line with a thread of its own that reads blocking, notices a loss, and opens the line again, for as long as it lives.</summary>
/// <remarks>
/// The reader is a thread, because a starved thread pool would hold an asynchronous read back for seconds. Only what is told
/// touches the pump, and it is posted: the line is opened again, and what is owed written, while the pump hangs. Between two
/// attempts passes a pause, longer each time up to a bound; it is short again once bytes have come. A line that came back is
/// only said to be back: who is at its other end, the exchange asks.
/// </remarks>
/// <typeparam name="TPort">What is open while the line is.</typeparam>
public abstract class ThreadedLine<TPort> : ILine, IDisposable
    where TPort : class
{
    private readonly Lock _writing = new();
    private readonly SynchronizationContext _pump;
    private readonly Thread _thread;
    private readonly ManualResetEventSlim _closing = new();
    private volatile TPort? _port;
    private volatile string? _broken;
    private int _tries;

    private protected ThreadedLine(string name, bool isHalfDuplex, TimeProvider time, SynchronizationContext pump)
    {
        (Name, IsHalfDuplex, Time, _pump) = (name, isHalfDuplex, time, pump);
        _thread = new Thread(Live) { IsBackground = true, Name = $"line {name}" };
    }

    /// <inheritdoc/>
    public string Name { get; }

    /// <inheritdoc/>
    public bool IsHalfDuplex { get; }

    /// <inheritdoc/>
    public Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

    /// <inheritdoc/>
    public Action<string>? Lost { get; set; }

    /// <inheritdoc/>
    public Action<Action>? Reopened { get; set; }

    /// <inheritdoc/>
    public Action? Returned { get; set; }

    /// <inheritdoc/>
    public void Send(ReadOnlySpan<byte> bytes)
    {
        lock (_writing)
        {
            var port = _port ?? throw new IOException(SentenceText.Of($"{Name}: {GoneWords}"));
            try
            {
                Write(port, bytes);
            }
            catch (Exception trouble) when (IsTrouble(trouble) || trouble is TimeoutException)
            {
                // The thread finds the line taken away, closes it, says so, and opens it again.
                _broken = $"{RefusedWords}: {SentenceText.Clause(trouble)}";
                Interlocked.CompareExchange(ref _port, null, port);
                Wake(port);
                throw new IOException($"{Name}: {_broken}", trouble);
            }
        }
    }

    /// <summary>Closes the line and waits shortly for its thread; nothing is delivered as lost, and nothing is opened again.</summary>
    public void Dispose()
    {
        Lost = null;
        Received = null;
        Reopened = null;
        Returned = null;
        _closing.Set();
        if (_port is { } port)
            Wake(port);
        if (Thread.CurrentThread != _thread)
            _thread.Join(LongestFarewell);
        GC.SuppressFinalize(this);
    }

    /// <summary>The pump's clock, which other threads may read in real time.</summary>
    private protected TimeProvider Time { get; }

    private protected bool IsClosing => _closing.IsSet;

    /// <summary>Whether this is still what others write on.</summary>
    private protected bool IsUsed(TPort port) => ReferenceEquals(_port, port);

    /// <summary>What is said of a line that is not there, without its name.</summary>
    private protected abstract string GoneWords { get; }

    /// <summary>What is said of a line that took no bytes, without its name.</summary>
    private protected abstract string RefusedWords { get; }

    /// <summary>How long closing waits for the thread.</summary>
    private protected abstract TimeSpan LongestFarewell { get; }

    /// <summary>Opens it; on the line's thread, except for the first time. Gives up early when the line is closing.</summary>
    private protected abstract TPort Open();

    /// <summary>Waits for bytes, tells them, and so on; returns why the line is gone.</summary>
    private protected abstract string Read(TPort port);

    /// <summary>Writes all of it; the writing lock is held.</summary>
    private protected abstract void Write(TPort port, ReadOnlySpan<byte> bytes);

    /// <summary>Ends a read under way, so that its thread looks around; from any thread.</summary>
    private protected abstract void Wake(TPort port);

    private protected abstract void Close(TPort port);

    /// <summary>The pause before an attempt to open it again.</summary>
    /// <param name="tries">Attempts in a row without a byte received, from 0.</param>
    private protected abstract TimeSpan PauseBefore(int tries);

    private protected abstract bool IsTrouble(Exception trouble);

    /// <summary>Begins to live with a port that is open.</summary>
    private protected void Begin(TPort port)
    {
        _port = port;
        _thread.Start();
    }

    /// <summary>Tells bytes that came just now.</summary>
    private protected void Tell(ReadOnlySpan<byte> received)
    {
        _tries = 0;
        var stamp = Time.GetTimestamp();
        var bytes = received.ToArray();
        _pump.Post(_ => Received?.Invoke(bytes, stamp), null);
    }

    /// <summary>Runs a deed when no write is under way.</summary>
    private protected void BetweenWrites(Action deed)
    {
        lock (_writing)
            deed();
    }

    private void Live()
    {
        var port = _port;
        while (!_closing.IsSet)
        {
            if (port is null)
            {
                port = Reopen();
                continue;
            }
            var reason = Read(port);
            _port = null;
            reason = _broken ?? reason;
            _broken = null;
            if (!_closing.IsSet)
                _pump.Post(_ => Lost?.Invoke(reason), null);
            Close(port);
            port = null;
        }
        _port = null;
        if (port is not null)
            Close(port);
    }

    /// <summary>Tries once to open it, after a pause, and says that it is back once what is owed is written; null when it is not back.</summary>
    private TPort? Reopen()
    {
        if (_closing.Wait(PauseBefore(_tries)))
            return null;
        _tries = Math.Min(_tries + 1, int.MaxValue - 1);
        TPort port;
        try
        {
            port = Open();
        }
        catch (Exception trouble) when (IsTrouble(trouble))
        {
            // Not ready yet, or somebody else has it: tried again.
            return null;
        }
        if (Reopened is { } reopened)
            reopened(() => _port = port);
        else
            _port = port;
        if (IsUsed(port))
        {
            _pump.Post(_ => Returned?.Invoke(), null);
            return port;
        }
        // It broke under what was owed: lost still, and not said to be back.
        _broken = null;
        Close(port);
        return null;
    }
}
