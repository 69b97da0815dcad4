using LoadTest.Analysis.Loads;
using LoadTest.Hunting;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Hunting;

/// <summary>Mistakes somebody might make in the engine or an adapter, each put before a port as a decorator.</summary>
internal static class PlantedFaults
{
    /// <summary>All-off never leaves.</summary>
    public static readonly Planted LostAllOff = new() { Load = (load, _) => new AllOffLoser(load) };

    /// <summary>All-off is asked for in time, and the adapter does not send it.</summary>
    public static readonly Planted DeafAdapter = new() { Adapter = (load, _) => new AllOffLoser(load) };

    /// <summary>The journal is written before the load goes off: the removal is put off to the next turn of the pump.</summary>
    public static readonly Planted SwappedTripOrder = new() { Load = (load, pump) => new LateRemover(load, pump) };

    /// <summary>Contacts are taken to be as commanded; nobody asks them.</summary>
    public static readonly Planted SkippedReadBack = new() { Load = (load, pump) => new BlindReader(load, pump) };

    /// <summary>An intent is said to be durable and was never written.</summary>
    public static readonly Planted DroppedIntent = new() { Journal = (journal, _) => new IntentDropper(journal) };

    /// <summary>What was on is commanded on once more right behind the all-off.</summary>
    public static readonly Planted OnAfterTheLatch = new() { Load = (load, _) => new Reviver(load) };

    private sealed class AllOffLoser(ILoad load) : DecoratedLoad(load)
    {
        private bool _wasOn;

        public override Task<CommandResult> SwitchAsync(
            ElementSet elements,
            EnergisePermit permit,
            CancellationToken cancel
        )
        {
            _wasOn = true;
            return base.SwitchAsync(elements, permit, cancel);
        }

        public override void RemoveLoad()
        {
            // The gate's own all-off gets through, or no run would ever begin.
            if (!_wasOn)
                base.RemoveLoad();
        }
    }

    private sealed class LateRemover(ILoad load, Pump pump) : DecoratedLoad(load)
    {
        public override void RemoveLoad() => pump.Post(base.RemoveLoad);
    }

    private sealed class BlindReader(ILoad load, Pump pump) : DecoratedLoad(load)
    {
        private ElementSet _last;
        private bool _wasOn;

        public override Task<CommandResult> SwitchAsync(
            ElementSet elements,
            EnergisePermit permit,
            CancellationToken cancel
        )
        {
            (_last, _wasOn) = (elements, true);
            return base.SwitchAsync(elements, permit, cancel);
        }

        public override Task<LoadStates> ReadStatesAsync(CancellationToken cancel) =>
            _wasOn
                ? Task.FromResult(
                    new LoadStates(CommandOutcome.Ok, "", _last, _last, true, false, true, pump.GetTimestamp())
                )
                : base.ReadStatesAsync(cancel);

        public override void RemoveLoad()
        {
            _last = ElementSet.None;
            base.RemoveLoad();
        }
    }

    private sealed class IntentDropper(IJournal journal) : IJournal
    {
        private long _dropped = -1;

        public long Acknowledged => journal.Acknowledged;

        public Task<string> Lost => journal.Lost;

        public long Append(JournalEntry entry) =>
            entry is SwitchIntended ? _dropped = journal.Acknowledged : journal.Append(entry);

        public Task SyncAsync(long number) => number == _dropped ? Task.CompletedTask : journal.SyncAsync(number);
    }

    private sealed class Reviver(ILoad load) : DecoratedLoad(load)
    {
        private readonly LoadRemoval _own = new("planted", [], null);
        private ElementSet _last;

        public override Task<CommandResult> SwitchAsync(
            ElementSet elements,
            EnergisePermit permit,
            CancellationToken cancel
        )
        {
            _last = elements;
            return base.SwitchAsync(elements, permit, cancel);
        }

        public override void RemoveLoad()
        {
            base.RemoveLoad();
            if (!_last.IsEmpty)
                _ = Inner.SwitchAsync(_last, _own.Permit(), CancellationToken.None);
        }
    }
}
