using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>The one way the load goes off at once: latch first, then all-off to every bank, and the output-enable relay opened.</summary>
/// <remarks>
/// The latch is set before any write gate is taken, and every command that may energise asks <see cref="Allows"/> inside
/// the same gate: an "on" is therefore either written before the all-off, or not at all. A latched removal stays latched:
/// a new run needs a new one, a new gate and a person.
/// </remarks>
public sealed class LoadRemoval
{
    private readonly string _runId;
    private readonly IReadOnlyList<ILoad> _loads;
    private readonly Action<RemovalCause>? _removed;
    private Latch? _latched;
    private string _trouble = "";
    private int _epoch = 1;

    /// <summary>Guards these banks for one run.</summary>
    /// <param name="runId">Id of the run whose permits count.</param>
    /// <param name="loads">Every bank that can be energised.</param>
    /// <param name="removed">Told after the first removal's frames went out, on the caller's thread; must only post. Null for nobody.</param>
    public LoadRemoval(string runId, IReadOnlyList<ILoad> loads, Action<RemovalCause>? removed)
    {
        _runId = runId;
        _loads = loads;
        _removed = removed;
    }

    /// <summary>The relay that lets the unit give output, opened behind the banks' all-off; null where the bench has none.</summary>
    public IOutputEnable? Output { get; init; }

    /// <summary>The first cause; null while the load may be on.</summary>
    public RemovalCause? Latched => Volatile.Read(ref _latched)?.Cause;

    /// <summary>What became of the all-offs since the first removal, all banks together; all zero before it. From any thread.</summary>
    public AllOffCounts AllOff => Volatile.Read(ref _latched) is { } latch ? Counted() - latch.Before : default;

    /// <summary>What the last bank said that could not be told to go off, or whoever could not be told of it; empty without trouble.</summary>
    public string Trouble => Volatile.Read(ref _trouble);

    /// <summary>Leave to energise in the present epoch.</summary>
    public EnergisePermit Permit() => new(this, _runId, Volatile.Read(ref _epoch));

    /// <summary>Withdraws every permit given so far without latching; used between steps that end unloaded.</summary>
    public void NextEpoch() => Interlocked.Increment(ref _epoch);

    /// <summary>Whether a permit of this run and epoch still holds.</summary>
    public bool Allows(string runId, int epoch) =>
        Volatile.Read(ref _latched) is null && epoch == Volatile.Read(ref _epoch) && runId == _runId;

    /// <summary>Latches the first cause and sends all-off to every bank: synchronous, from any thread, never throws.</summary>
    public void RemoveLoad(RemovalCause cause)
    {
        var first = Volatile.Read(ref _latched) is null && IsFirst(new Latch(cause, Counted()));
        foreach (var load in _loads)
            Safely(load.RemoveLoad);
        if (Output is { } output)
            Safely(output.Open);
        if (first && _removed is { } removed)
            Safely(() => removed(cause));
    }

    /// <summary>The run is over: no permit holds any more, and nobody is told of what comes later. Nothing is sent.</summary>
    public void Retire() => IsFirst(new Latch(new RemovalCause("END", "The run is over."), Counted()));

    private bool IsFirst(Latch latch) => Interlocked.CompareExchange(ref _latched, latch, null) is null;

    private AllOffCounts Counted()
    {
        AllOffCounts sum = default;
        foreach (var load in _loads)
            Safely(() => sum += load.AllOff);
        return sum;
    }

    /// <summary>One bank in trouble does not keep the next from going off.</summary>
    private void Safely(Action deed)
    {
        try
        {
            deed();
        }
        catch (Exception trouble)
        {
            Volatile.Write(ref _trouble, SentenceText.Clause(trouble));
        }
    }

    /// <summary>The first cause, and what the banks had counted before it.</summary>
    private sealed record Latch(RemovalCause Cause, AllOffCounts Before);
}
