using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Hunting;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Hunting;

/// <summary>More mistakes, of meters, journal and adapter, each put before a port as a decorator.</summary>
internal static class PlantedInPorts
{
    /// <summary>A reading that is missing is the last good one again.</summary>
    public static readonly Planted RepeatedReading = new() { Meter = (meter, pump) => new Repeater(meter, pump) };

    /// <summary>Not-a-number and overload are taken for zero.</summary>
    public static readonly Planted TrustedFlag = new() { Meter = (meter, _) => new Truster(meter) };

    /// <summary>A reading that failed once is waited for without end.</summary>
    public static readonly Planted EndlessWait = new() { Load = (load, _) => new Waiter(load) };

    /// <summary>All-off is asked for once and never again.</summary>
    public static readonly Planted AllOffOnce = new() { Load = (load, _) => new OnceRemover(load) };

    /// <summary>A switching whose result is unknown is repeated at once.</summary>
    public static readonly Planted BlindRepeat = new() { Adapter = (load, _) => new BlindRepeater(load) };

    /// <summary>One element more than was asked for.</summary>
    public static readonly Planted OneMore = new() { Adapter = (load, _) => new Generous(load) };

    /// <summary>The gate is said to be durable before it is.</summary>
    public static readonly Planted HastyGate = new() { Journal = (journal, _) => new HastyJournal(journal) };

    /// <summary>The journal names another cause than the one that removed the load.</summary>
    public static readonly Planted OtherCause = new() { Journal = (journal, _) => new CauseChanger(journal) };

    /// <summary>The last entry says off, whatever was found.</summary>
    public static readonly Planted AlwaysOff = new() { Journal = (journal, _) => new OffSayer(journal) };

    private abstract class Meter(IMeter meter) : IMeter
    {
        public string Name => meter.Name;

        public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => meter.IdentifyAsync(cancel);

        public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => meter.ConfigureAsync(cancel);

        public async Task<ImmutableArray<Indication>> ReadAsync(
            ImmutableArray<string> inputs,
            CancellationToken cancel
        ) => Changed(inputs, await meter.ReadAsync(inputs, cancel));

        protected abstract ImmutableArray<Indication> Changed(
            ImmutableArray<string> inputs,
            ImmutableArray<Indication> read
        );
    }

    private sealed class Repeater(IMeter meter, Pump pump) : Meter(meter)
    {
        private readonly Dictionary<string, double> _last = [];

        protected override ImmutableArray<Indication> Changed(
            ImmutableArray<string> inputs,
            ImmutableArray<Indication> read
        ) => [.. read.Select((r, k) => Again(inputs[k], r))];

        private Indication Again(string input, Indication read)
        {
            if (read.Flag == IndicationFlag.Good)
                _last[input] = read.Value;
            return read.Flag == IndicationFlag.Missing && _last.TryGetValue(input, out var last)
                ? new Indication(last, IndicationFlag.Good, pump.GetTimestamp())
                : read;
        }
    }

    private sealed class Truster(IMeter meter) : Meter(meter)
    {
        protected override ImmutableArray<Indication> Changed(
            ImmutableArray<string> inputs,
            ImmutableArray<Indication> read
        ) =>
            [
                .. read.Select(r =>
                    r.Flag is IndicationFlag.NotANumber or IndicationFlag.Overload
                        ? r with
                        {
                            Value = 0,
                            Flag = IndicationFlag.Good,
                        }
                        : r
                ),
            ];
    }

    private sealed class Waiter(ILoad load) : DecoratedLoad(load)
    {
        public override async Task<LoadStates> ReadStatesAsync(CancellationToken cancel)
        {
            var states = await base.ReadStatesAsync(cancel);
            if (states.Outcome != CommandOutcome.Ok)
                await new TaskCompletionSource().Task;
            return states;
        }
    }

    private sealed class OnceRemover(ILoad load) : DecoratedLoad(load)
    {
        private bool _wasOn;
        private bool _wasRemoved;

        public override Task<CommandResult> SwitchAsync(
            ElementSet elements,
            EnergisePermit permit,
            CancellationToken cancel
        )
        {
            (_wasOn, _wasRemoved) = (true, false);
            return base.SwitchAsync(elements, permit, cancel);
        }

        public override void RemoveLoad()
        {
            if (_wasOn && _wasRemoved)
                return;
            _wasRemoved = true;
            base.RemoveLoad();
        }
    }

    private sealed class BlindRepeater(ILoad load) : DecoratedLoad(load)
    {
        public override async Task<CommandResult> SwitchAsync(
            ElementSet elements,
            EnergisePermit permit,
            CancellationToken cancel
        )
        {
            var result = await base.SwitchAsync(elements, permit, cancel);
            return result.Outcome == CommandOutcome.Unknown ? await base.SwitchAsync(elements, permit, cancel) : result;
        }
    }

    private sealed class Generous(ILoad load) : DecoratedLoad(load)
    {
        public override Task<CommandResult> SwitchAsync(
            ElementSet elements,
            EnergisePermit permit,
            CancellationToken cancel
        ) => base.SwitchAsync(elements.IsEmpty ? elements : elements.Union(ElementSet.Of(1)), permit, cancel);
    }

    private abstract class Told(IJournal journal) : IJournal
    {
        protected IJournal Inner => journal;

        public virtual long Acknowledged => journal.Acknowledged;

        public Task<string> Lost => journal.Lost;

        public virtual long Append(JournalEntry entry) => journal.Append(entry);

        public virtual Task SyncAsync(long number) => journal.SyncAsync(number);
    }

    private sealed class HastyJournal(IJournal journal) : Told(journal)
    {
        public override Task SyncAsync(long number) => Task.CompletedTask;
    }

    private sealed class CauseChanger(IJournal journal) : Told(journal)
    {
        public override long Append(JournalEntry entry) =>
            base.Append(
                entry is LoadRemoved removed ? removed with { Cause = new RemovalCause("OTHER", "planted") } : entry
            );
    }

    private sealed class OffSayer(IJournal journal) : Told(journal)
    {
        public override long Append(JournalEntry entry) =>
            base.Append(
                entry is RunClosed { Bank: BankEnd.OffNotConfirmed } closed ? closed with { Bank = BankEnd.Off } : entry
            );
    }
}
