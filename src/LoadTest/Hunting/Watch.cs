using LoadTest.Instruments.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator;

namespace LoadTest.Hunting;

/// <summary>Holds the invariants against one run after every event: what was sent, what was written, what is really so.</summary>
/// <remarks>It only looks. What it knows it has from the wires, the ports and the simulator's truth, never from the engine's own memory.</remarks>
internal sealed partial class Watch
{
    /// <summary>Longest a command or a reading may be out: three transactions with their waits, and what doubt about a link adds.</summary>
    private static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(5);

    private readonly Pump _pump;
    private readonly RunPlan _plan;
    private readonly SimulatedBench _bench;
    private readonly InstrumentDefinition _bank;
    private readonly long[] _lastGood;
    private readonly SortedSet<(long Since, int Number)> _pending = [];
    private readonly Dictionary<int, string> _pendingNames = [];
    private readonly long _opened;
    private readonly int _elements;
    private readonly TimeSpan _offWithin;
    private int _pendingCount;
    private long _firstOn;
    private long _closedAt;
    private LoadRemoval? _removal;
    private RemovalCause? _latched;
    private long _latchedAt;

    /// <summary>Watches a run that opens now.</summary>
    public Watch(Pump pump, RunPlan plan, SimulatedBench bench)
    {
        (_pump, _plan, _bench) = (pump, plan, bench);
        _elements = plan.Bench.Bank.Elements.Length + (plan.Bench.AuxiliaryBank?.Elements.Length ?? 0);
        _bank = plan.Bench.Instrument(plan.Bench.Bank.InstrumentId).Definition;
        _offWithin = OffWithin.Of(plan.Bench.Instrument(plan.Bench.Bank.InstrumentId).Definition);
        _opened = pump.GetTimestamp();
        _lastGood = new long[plan.Bench.Channels.Length];
        Array.Fill(_lastGood, _opened);
        _overSince = new long[plan.Bench.Bank.Elements.Length];
        Array.Fill(_overSince, long.MaxValue);
        _busDeadline = _bank.Protocol == Protocol.ModbusRtu ? _bank.Deadline + _bank.TurnAround : TimeSpan.Zero;
    }

    /// <summary>The first invariant that did not hold, when, and what was seen; null while all do.</summary>
    public (Invariant Invariant, TimeSpan At, string Seen)? First { get; private set; }

    /// <summary>Whether anything was ever switched on.</summary>
    public bool WasOn { get; private set; }

    /// <summary>Whether the journal can say nothing any more.</summary>
    public bool IsStorageLost
    {
        get => field || _journal?.Trouble is not null;
        set;
    }

    /// <summary>Whether nothing has happened that could keep off from being confirmed in time.</summary>
    public Func<bool> IsOffProvable { get; init; } = static () => false;

    /// <summary>Whether the simulated bench has a fault, which may put more on an element than any command could.</summary>
    public bool HasFault { get; set; }

    /// <summary>From the first element on to the end of the run; zero when none ever was.</summary>
    public TimeSpan Energised => WasOn && _closedAt > 0 ? TimeSpan.FromTicks(_closedAt - _firstOn) : TimeSpan.Zero;

    /// <summary>How many events were looked at.</summary>
    public long Events { get; private set; }

    /// <summary>The one way the load goes off at once, known before the gate.</summary>
    public void Guard(LoadRemoval removal) => _removal = removal;

    /// <summary>Something is waited for from now on.</summary>
    public int Began(string what)
    {
        _pendingNames[++_pendingCount] = what;
        _pending.Add((_pump.GetTimestamp(), _pendingCount));
        return _pendingCount;
    }

    /// <summary>It is waited for no longer.</summary>
    public void Ended(int number)
    {
        _pendingNames.Remove(number);
        _pending.RemoveWhere(p => p.Number == number);
        After();
    }

    /// <summary>Readings came from an instrument, of inputs in this order.</summary>
    public void Read(string instrument, IReadOnlyList<string> inputs, IReadOnlyList<Indication> indications)
    {
        for (var k = 0; k < inputs.Count; k++)
        {
            for (var c = 0; c < _lastGood.Length; c++)
            {
                var channel = _plan.Bench.Channels[c];
                if (channel.InstrumentId == instrument && channel.Input == inputs[k])
                    Read(channel, c, indications[k]);
            }
        }
    }

    /// <summary>What must hold at this moment whatever the event was.</summary>
    public void After()
    {
        Events++;
        LookAtLatch();
        var now = _pump.GetTimestamp();
        if (now < _heldUntil)
            return;
        LookAtElements(now);
        LookAtAllOff(now);
        if (_tripDue is { } due && now > due.At && _latched is null)
            Report(Invariant.AllOffAtOnce, due.Words);
        if (_pending.Count > 0 && _pending.Min is var oldest && now - oldest.Since > LongestWait.Ticks)
            Report(
                Invariant.EveryWaitEnds,
                $"{_pendingNames[oldest.Number]} has been waited for for {TimeSpan.FromTicks(now - oldest.Since).TotalSeconds:0.000} s; {LongestWait.TotalSeconds} s is the longest."
            );
    }

    /// <summary>Notes the first violation; later ones may follow from it.</summary>
    public void Report(Invariant invariant, string seen) =>
        First ??= (invariant, TimeSpan.FromTicks(_pump.GetTimestamp() - _opened), seen);

    private void LookAtLatch()
    {
        // "END" withdraws the permits of a run that is over; no load is removed by it.
        if (_removal?.Latched is not { Code: not "END" } cause || ReferenceEquals(cause, _latched))
            return;
        if (_latched is not null)
            Report(Invariant.FirstCauseStays, $"The latch held \"{_latched.Code}\" and now holds \"{cause.Code}\".");
        if (_latched is null)
            (_latched, _latchedAt) = (cause, _pump.GetTimestamp());
    }

    private void LookAtElements(long now)
    {
        var on = _bench.ElementsOn;
        if ((on & ~_asked) != 0)
            Report(
                Invariant.NothingUnasked,
                $"Contactors {on:x} are closed; the journal has asked for {_asked:x} in all."
            );
        LookAtRatings(on, now);
        // With the engine standing an element on carries nothing: the gate proves the bank's watchdog so, in silence.
        if (on == 0 || _latched is not null || _isClosed || !_bench.Truth.IsEngineRunning)
            return;
        for (var c = 0; c < _lastGood.Length; c++)
        {
            var channel = _plan.Bench.Channels[c];
            var age = TimeSpan.FromTicks(now - _lastGood[c]);
            if (age > channel.MaximumAge + RunMachine.ScanPeriod)
                Report(
                    Invariant.AbsenceTrips,
                    $"{channel.Name} gave no good reading for {age.TotalSeconds:0.0000} s with contactors {on:x} closed; {channel.MaximumAge.TotalSeconds} s is its limit."
                );
        }
    }
}
