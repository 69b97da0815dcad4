using System.Collections.Immutable;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>One seed: a fresh pump, bench and run, what goes wrong drawn from the seed, the watch on everything.</summary>
internal sealed class SeedRun
{
    /// <summary>Longest a run may take, virtual; the longest that ends by itself takes a third of it.</summary>
    private static readonly TimeSpan Limit = TimeSpan.FromMinutes(5);

    /// <summary>How long the bench is looked at after the end.</summary>
    private static readonly TimeSpan Afterwards = TimeSpan.FromSeconds(3);

    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);
    private const long PlentyOfSpace = 1L << 40;

    private readonly ulong _seed;
    private readonly Pump _pump = Pump.Virtual(Start);
    private readonly HuntPlan _plan;
    private readonly ImmutableArray<Mishap> _mishaps;
    private readonly HuntStand _stand;
    private readonly Watch _watch;
    private readonly WildStorage _storage;
    private readonly HuntOperator _operator;
    private readonly MishapClock _clock;
    private LoadRemoval? _removal;
    private RunEngine? _engine;

    private SeedRun(ImmutableArray<HuntPlan> plans, ulong seed)
    {
        _seed = seed;
        var draw = new Draw(seed);
        _plan = draw.Of(plans);
        _mishaps = MishapDraw.Of(draw, _plan.World);
        _stand = new HuntStand(_plan, _pump, seed, draw.Branch());
        _watch = new Watch(_pump, _plan.Plan, _stand.Simulated);
        _storage = new WildStorage(_pump, seed);
        _operator = new HuntOperator(
            new ScriptedOperator(_stand.Hands, _pump, "hunt", []) { Thinking = draw.Between(20, 700) }
        );
        _clock = new MishapClock(_mishaps, _pump, Strike);
        foreach (var link in _stand.Links)
            link.Carried = _watch.After;
        _stand.BankLink.Sent = _watch.Sent;
    }

    /// <summary>Runs a seed on one of these plans.</summary>
    /// <param name="plans">Plans to draw from.</param>
    /// <param name="seed">The seed.</param>
    /// <param name="planted">Faults of our own making; none but in tests.</param>
    public static SeedEnd Run(ImmutableArray<HuntPlan> plans, ulong seed, Planted planted)
    {
        var run = new SeedRun(plans, seed);
        using (run._stand)
        using (run._storage)
        {
            var closed = run.Run(planted);
            return run.End(closed);
        }
    }

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
        catch (IOException) when (_storage.IsLost && !_watch.WasOn)
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
        using var journal = new JournalWriter(_storage);
        _watch.Keep(journal);
        var watched = new WatchedJournal(journal, _watch, _clock.Seen);
        var run = Session(planted).RunAsync(_pump, planted.Journal(watched, _pump), CancellationToken.None);
        if (await Task.WhenAny(run, Task.Delay(Limit, _pump)) != run)
        {
            _watch.Report(
                Invariant.EveryWaitEnds,
                $"The run has not ended after {Limit.TotalMinutes} min; {_engine?.State.Phase} in step {_engine?.State.Step}."
            );
            return null;
        }
        var closed = await run;
        _watch.Closed(closed);
        await Task.Delay(Afterwards, _pump);
        _watch.Over(closed, _storage.Bytes, _storage.IsLost, _clock.Struck == 0);
        return closed;
    }

    private RunSession Session(Planted planted)
    {
        var meters = _stand.Meters.ToDictionary(
            m => m.Key,
            IMeter (m) => new WatchedMeter(m.Value, _watch),
            StringComparer.Ordinal
        );
        return new RunSession(
            _plan.Files,
            $"hunt-{_seed}",
            _plan.Plan.Nameplate.SerialNumber!,
            IsProvedSimulated: true,
            "",
            planted.Load(new WatchedLoad(planted.Adapter(_stand.Load, _pump), _watch), _pump),
            meters,
            _operator,
            PlentyOfSpace
        )
        {
            Guarded = removal =>
            {
                _removal = removal;
                _watch.Guard(removal);
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
                _stand.Simulated.Inject(bench.Fault);
                break;
            case StorageMishap { IsLost: true }:
                _storage.Lose();
                _watch.IsStorageLost = true;
                break;
            case StorageMishap storage:
                _storage.Stall(storage.Span);
                break;
            case PersonMishap person:
                Interfere(person.What);
                break;
        }
        _watch.After();
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
            _watch.WasOn,
            TimeSpan.FromTicks(_pump.GetTimestamp()),
            _watch.Energised,
            _watch.Events,
            _storage.Bytes
        );
    }
}
