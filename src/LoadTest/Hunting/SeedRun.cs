using System.Collections.Immutable;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Simulator.Faults;

namespace LoadTest.Hunting;

/// <summary>One seed: a fresh pump, bench and run, what goes wrong drawn from the seed, the watch on everything.</summary>
internal sealed class SeedRun
{
    /// <summary>How long the bench is looked at after the end.</summary>
    private static readonly TimeSpan Afterwards = TimeSpan.FromSeconds(3);

    /// <summary>How long a repair takes: the engine has come to rest and every late reply has arrived.</summary>
    private static readonly TimeSpan Repair = TimeSpan.FromSeconds(30);

    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);
    private const long PlentyOfSpace = 1L << 40;
    private const int RepairedPercent = 10;

    private readonly ulong _seed;
    private readonly Draw _draw;
    private readonly Pump _pump = Pump.Virtual(Start);
    private readonly HuntPlan _plan;
    private readonly ImmutableArray<Mishap> _mishaps;
    private readonly bool _isRepaired;
    private readonly HuntStand _stand;
    private readonly StageTracker _stages;
    private readonly MishapClock _clock;
    private readonly WildClock _wallClock;
    private Watch _watch;
    private WildStorage _storage;
    private HuntOperator _operator;
    private LoadRemoval? _removal;
    private RunEngine? _engine;

    private SeedRun(HuntPlans plans, ulong seed, Planted planted, ulong only)
    {
        _seed = seed;
        _draw = new Draw(seed);
        _plan = plans.Of(_draw);
        _isRepaired = _draw.Percent(RepairedPercent);
        _mishaps = [.. MishapDraw.Of(_draw, _plan.World).Where((_, k) => (only >> k & 1) != 0)];
        _stand = new HuntStand(_plan, _pump, seed, _draw.Branch(), planted);
        _stages = new StageTracker(_pump);
        _wallClock = new WildClock(_pump);
        _clock = new MishapClock(_mishaps, _pump, _stages, Strike);
        (_watch, _storage, _operator) = Fresh();
        foreach (var link in _stand.Links)
            link.Carried = () => _watch.After();
        _stand.BankLink.Sent = bytes => _watch.Sent(bytes);
        _stand.BankLink.Plugged = _watch.BankPlugged;
        if (_stand.Links.FirstOrDefault(l => l.Device == HuntPlan.Relay) is { } relay)
            relay.Sent = bytes => _watch.SentToRelay(bytes);
    }

    /// <summary>Runs a seed on one of these plans.</summary>
    /// <param name="plans">Plans to draw from.</param>
    /// <param name="seed">The seed.</param>
    /// <param name="planted">Faults of our own making; none but in tests.</param>
    /// <param name="only">Which of the seed's mishaps may happen, bit k = mishap k.</param>
    public static SeedEnd Run(HuntPlans plans, ulong seed, Planted planted, ulong only = ulong.MaxValue)
    {
        var run = new SeedRun(plans, seed, planted, only);
        using (run._stand)
        using (run._storage)
        {
            var closed = run.Run(planted);
            return run.End(closed);
        }
    }

    private (Watch Watch, WildStorage Storage, HuntOperator Operator) Fresh() =>
        (
            new Watch(_pump, _plan.Plan, _stand.Simulated) { IsOffProvable = () => _clock!.LeavesOffProvable },
            new WildStorage(_pump, _seed),
            new HuntOperator(
                new ScriptedOperator(_stand.Hands, _pump, "hunt", []) { Thinking = _draw.Between(20, 700) }
            )
        );

    private RunClosed? Run(Planted planted)
    {
        try
        {
            return _pump.Run(() => RunAsync(planted));
        }
        catch (PumpDeadlockException deadlock)
        {
            _watch.Report(Invariant.EveryWaitEnds, deadlock.Message);
        }
        catch (IOException) when (_watch.IsStorageLost && !_watch.WasOn)
        {
            // The gate cannot write: the program says so and ends, and nothing was switched on.
        }
        catch (Exception trouble)
        {
            _watch.Report(Invariant.Journal, $"The run broke with {trouble.GetType().Name}: {trouble.Message}");
        }
        return null;
    }

    private async Task<RunClosed?> RunAsync(Planted planted)
    {
        await _stand.UnlockAsync();
        var closed = await OnceAsync(planted, $"hunt-{_seed}", () => !_clock.HasHarmed);
        if (_isRepaired && closed is not null && _watch.First is null)
            await AgainAsync(planted);
        return closed;
    }

    /// <summary>Everything is repaired, the bench started as any run starts it, and it has to prove that a run on it completes.</summary>
    private async Task AgainAsync(Planted planted)
    {
        _clock.Stop();
        _stand.Repair();
        await Task.Delay(Repair, _pump);
        await FirstOff.SendAsync(_plan.Plan, _stand.Load, _stand.Meters, _pump, _stand.Output);
        var (first, firstStorage) = (_watch, _storage);
        (_watch, _storage, _operator) = Fresh();
        (_engine, _removal) = (null, null);
        using var second = _storage;
        await OnceAsync(planted, $"hunt-{_seed}-again", () => true);
        if (_watch.First is { } found)
            first.Report(
                found.Invariant,
                $"In the run after the repair, {found.At.TotalSeconds:0.000} s: {found.Seen}"
            );
        (_watch, _storage) = (first, firstStorage);
    }

    private async Task<RunClosed?> OnceAsync(Planted planted, string id, Func<bool> isHealthy)
    {
        using var journal = new JournalWriter(_storage, _pump);
        _watch.Keep(journal);
        var watched = new WatchedJournal(journal, _watch, _stages.Seen);
        var run = Session(planted, id).RunAsync(_pump, planted.Journal(watched, _pump), CancellationToken.None);
        var limit = _plan.Limit;
        if (await Task.WhenAny(run, Task.Delay(limit, _pump)) != run)
        {
            _watch.Report(
                Invariant.EveryWaitEnds,
                $"The run has not ended after {limit.TotalMinutes} min; {_engine?.State.Phase} in step {_engine?.State.Step}."
            );
            return null;
        }
        var closed = await run;
        _watch.Closed(closed);
        await Task.Delay(Afterwards, _pump);
        _watch.Over(closed, _storage.Bytes, isHealthy());
        return closed;
    }

    private RunSession Session(Planted planted, string id)
    {
        var watch = _watch;
        var meters = _stand.Meters.ToDictionary(
            m => m.Key,
            m => planted.Meter(new WatchedMeter(m.Value, watch), _pump),
            StringComparer.Ordinal
        );
        return new RunSession(
            _plan.Files,
            id,
            _plan.Plan.Nameplate.SerialNumber!,
            IsProvedSimulated: true,
            "",
            planted.Load(new WatchedLoad(planted.Adapter(_stand.Load, _pump), watch), _pump),
            meters,
            _operator,
            PlentyOfSpace
        )
        {
            Output = _stand.Output is { } relay ? planted.Output(relay) : null,
            LookAtClocks = planted.Clocks(_wallClock.Look),
            Guarded = removal =>
            {
                _removal = removal;
                watch.Guard(removal);
            },
            Armed = (_, engine) => _engine = engine,
        };
    }

    private void Strike(Mishap mishap)
    {
        switch (mishap)
        {
            case WireMishap wire:
                _stand.Links.First(l => l.Device == wire.Device).Strike(wire);
                break;
            case BenchMishap bench:
                _watch.HasFault = true;
                _stand.Simulated.Inject(bench.Fault);
                break;
            case StaleMishap stale:
                StrikeStale(stale);
                break;
            case StorageMishap { IsLost: true }:
                _storage.Lose();
                _watch.IsStorageLost = true;
                break;
            case StorageMishap storage:
                _storage.Stall(storage.Span);
                break;
            case ClockMishap clock:
                _watch.Expect(clock);
                _wallClock.Strike(clock);
                break;
            case PersonMishap person:
                Interfere(person.Act);
                break;
        }
        _watch.After();
    }

    private void StrikeStale(StaleMishap stale)
    {
        foreach (var device in stale.Devices)
        {
            if (stale.How == Staleness.Slow)
                _stand
                    .Links.First(l => l.Device == device)
                    .Strike(
                        new WireMishap(stale.Kind, stale.When, device, WireTrouble.Late, 20, TimeSpan.FromSeconds(1.2))
                    );
            else
                _stand.Simulated.Inject(
                    new Fault(stale.How == Staleness.Silent ? "instrument-silent" : "meter-frozen", device)
                );
        }
        _watch.HasFault = true;
    }

    private void Interfere(Interference what)
    {
        switch (what)
        {
            case Interference.Stop when _engine is { } engine:
                engine.Stop("hunt", "asked by the hunt");
                break;
            case Interference.No:
                _operator.SayNo();
                break;
            case Interference.Lost:
                _operator.Leave();
                break;
            default:
                var code = what == Interference.Signal ? "SIGNAL" : "STOP";
                _removal?.RemoveLoad(new RemovalCause(code, "Removed by the hunt."));
                break;
        }
    }

    private SeedEnd End(RunClosed? closed)
    {
        var circumstances = $"{_plan.Name}; {string.Join("; ", _mishaps)}";
        var violation = _watch.First is { } first
            ? new Violation(_seed, first.Invariant, first.At, first.Seen, circumstances)
            : null;
        return new SeedEnd(
            closed is null ? "no end" : $"{closed.Outcome} {closed.Code}".TrimEnd() + $", {closed.Bank}",
            violation,
            _clock.Struck,
            _clock.Strikes,
            _watch.WasOn,
            TimeSpan.FromTicks(_pump.GetTimestamp()),
            closed?.At ?? TimeSpan.Zero,
            _watch.Energised,
            _watch.Events,
            _storage.Bytes
        );
    }
}
