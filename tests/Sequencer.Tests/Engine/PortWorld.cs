using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>The ports of a run on a virtual pump around an invented unit; each can be made to fail.</summary>
internal sealed class PortWorld : ILoad, IJournal, IOperator
{
    private static readonly TimeSpan Transaction = TimeSpan.FromMilliseconds(8);
    private static readonly TimeSpan Sync = TimeSpan.FromMilliseconds(3);
    private static readonly TimeSpan Watchdog = TimeSpan.FromSeconds(2);
    private int _scans;
    private long _spoken;

    public PortWorld(RunPlan plan)
    {
        Unit = new SomeUnit(plan);
        Pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
        Removal = new LoadRemoval("run-1", [this], cause => Pump.Post(() => Engine!.LoadRemoved(cause)));
        Meters = plan.Bench.Instruments.ToDictionary(
            i => i.Id,
            i => (IMeter)new Meter(this, i.Id),
            StringComparer.Ordinal
        );
    }

    public SomeUnit Unit { get; }

    public Pump Pump { get; }

    public LoadRemoval Removal { get; }

    public RunEngine? Engine { get; private set; }

    public Dictionary<string, IMeter> Meters { get; }

    public List<JournalEntry> Entries { get; } = [];

    /// <summary>What happened at the ports, in order.</summary>
    public List<string> Log { get; } = [];

    public List<(RunInput Input, RunState State, ImmutableArray<RunCommand> Commands)> Turns { get; } = [];

    public Action<JournalEntry> OnAppend { get; set; } = _ => { };

    public Func<long, Task> OnSync { get; set; } = _ => Task.CompletedTask;

    public Action<string> OnRead { get; set; } = _ => { };

    public Func<Question, CancellationToken, Task> OnAsk { get; set; } = (_, _) => Task.CompletedTask;

    public Action<ElementSet> OnSwitch { get; set; } = _ => { };

    public Func<ClockLook>? Clocks { get; set; }

    public IOutputEnable? Output { get; set; }

    public Action OnReadStates { get; set; } = () => { };

    public Func<bool, CommandResult> OnFan { get; set; } = _ => CommandResult.Ok;

    public bool IsAttended { get; init; }

    /// <summary>Questions asked before the run.</summary>
    public int Questions { get; init; }

    /// <summary>Time that passes before the run is opened.</summary>
    public TimeSpan Before { get; init; }

    public TimeSpan Exposure { get; set; }

    public string Name => "bank-1";

    public bool IsPerson => true;

    public long Acknowledged { get; private set; } = -1;

    /// <summary>Completed by tests that lose the storage.</summary>
    public TaskCompletionSource<string> Losing { get; } = new();

    public Task<string> Lost => Losing.Task;

    /// <summary>Runs to the end; <paramref name="meanwhile"/> runs beside it on the same pump.</summary>
    public RunClosed Run(Func<PortWorld, Task>? meanwhile = null) =>
        Pump.Run(async () =>
        {
            await Task.Delay(Before, Pump);
            Engine = new RunEngine(
                new RunSetting(Unit.Plan, Pump, Pump.GetTimestamp(), this, Meters, this, this, Removal, Questions)
                {
                    IsAttended = IsAttended,
                    Output = Output,
                    Clocks = Clocks is { } look ? (look, look()) : null,
                }
            )
            {
                Turned = (input, state, commands) => Turns.Add((input, state, commands)),
            };
            var run = Engine.RunAsync();
            if (meanwhile is not null)
                await meanwhile(this);
            var closed = await run;
            // What was left unfinished at the ports comes to its end.
            await Task.Delay(TimeSpan.FromSeconds(30), Pump);
            return closed;
        });

    public async Task WaitUntil(Func<bool> reached)
    {
        while (!reached())
            await Task.Delay(TimeSpan.FromMilliseconds(10), Pump);
    }

    public Task UnderLoad() => WaitUntil(() => Engine!.State is { IsScanning: true, Elements.Count: > 1 });

    public long Append(JournalEntry entry)
    {
        OnAppend(entry);
        Log.Add($"append {entry.GetType().Name}");
        Entries.Add(entry);
        return Entries.Count - 1;
    }

    public async Task SyncAsync(long number)
    {
        await Task.Delay(Sync, Pump);
        await OnSync(number);
        Acknowledged = Math.Max(Acknowledged, number);
    }

    public async Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel)
    {
        await Task.Delay(Transaction, Pump, cancel);
        FeedWatchdog();
        OnSwitch(elements);
        if (!elements.IsEmpty && !permit.IsValid)
            return CommandResult.Failed("the load was removed");
        Log.Add($"switch {elements}");
        Unit.Write(elements);
        return CommandResult.Ok;
    }

    public async Task<LoadStates> ReadStatesAsync(CancellationToken cancel)
    {
        await Task.Delay(Transaction, Pump, cancel);
        FeedWatchdog();
        OnReadStates();
        return Unit.States();
    }

    public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) => Task.FromResult(OnFan(isOn));

    /// <summary>Somebody spoke to the bank; had nobody for two seconds, its watchdog had dropped everything.</summary>
    private void FeedWatchdog()
    {
        if (Pump.GetElapsedTime(_spoken) >= Watchdog)
            Unit.Write(ElementSet.None);
        _spoken = Pump.GetTimestamp();
    }

    public void RemoveLoad()
    {
        Log.Add("all-off");
        AllOff += new AllOffCounts(1, 1, 0);
        Unit.Write(ElementSet.None);
    }

    public AllOffCounts AllOff { get; private set; }

    public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
    {
        await Task.Delay(TimeSpan.FromSeconds(1), Pump, cancel);
        await OnAsk(question, cancel);
        Unit.Do(question);
        return new Answer(true, question.Kind == QuestionKind.Number ? 8.8 : null, "", "A. Invented");
    }

    private sealed class Meter(PortWorld world, string id) : IMeter
    {
        public string Name => id;

        public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => throw new NotSupportedException();

        public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => throw new NotSupportedException();

        public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
        {
            await Task.Delay(Transaction, world.Pump, cancel);
            if (id == world.Name)
                world.FeedWatchdog();
            world.OnRead(id);
            world._scans++;
            var now = world.Pump.GetTimestamp();
            return
            [
                .. inputs.Select(input => new Indication(
                    world.Unit.True(Role(input), world._scans),
                    IndicationFlag.Good,
                    now
                )),
            ];
        }

        private ChannelRole Role(string input) =>
            world.Unit.Plan.Bench.Channels.First(c => c.InstrumentId == id && c.Input == input).Role;
    }
}
