using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>A unit, a bank, meters and a person that do what the machine asks; what goes wrong is set by the test.</summary>
internal sealed class HandFedWorld
{
    private readonly Queue<RunInput> _waiting = new();
    private AllOffCounts _allOff;
    private int _scans;

    public HandFedWorld(RunPlan plan)
    {
        Machine = new HandFed(plan);
        Unit = new SomeUnit(plan);
    }

    public HandFed Machine { get; }

    public RunState State => Machine.State;

    public SomeUnit Unit { get; }

    public RunPlan Plan => Machine.Plan;

    public bool IsEngineRunning => Unit.IsEngineRunning;

    public bool IsOutputOn
    {
        get => Unit.IsOutputOn;
        set => Unit.IsOutputOn = value;
    }

    public double Setting => Unit.Setting;

    public ElementSet Coils
    {
        get => Unit.Coils;
        set => Unit.Coils = value;
    }

    public ElementSet Contacts
    {
        get => Unit.Contacts;
        set => Unit.Contacts = value;
    }

    public ElementSet Welded
    {
        set => Unit.Welded = value;
    }

    public ElementSet Dead
    {
        set => Unit.Dead = value;
    }

    public bool IsScanned { get; private set; }

    public bool IsAttended { get; init; }

    /// <summary>Whether the bank's communication watchdog never acts.</summary>
    public bool HasDeadWatchdog { get; init; }

    /// <summary>Whether the output-enable relay is closed.</summary>
    public bool IsRelayClosed { get; private set; }

    /// <summary>What is read of its contact.</summary>
    public Func<bool, (CommandResult Result, bool IsClosed)> SaysOfRelay { get; set; } =
        isClosed => (CommandResult.Ok, isClosed);

    private TimeSpan? _quietSince;

    /// <summary>Whether contacts were open or no current flowed when off was last said to be confirmed.</summary>
    public bool WasOffWhenSaid { get; private set; }

    /// <summary>True when the world is to leave this command unanswered; the test answers, or nobody.</summary>
    public Predicate<RunCommand> Ignores { get; set; } = _ => false;

    /// <summary>What a meter makes of a true value.</summary>
    public Func<Channel, double, (double Value, IndicationFlag Flag)> Reads { get; set; } =
        (_, value) => (value, IndicationFlag.Good);

    /// <summary>Instruments that send nothing at all.</summary>
    public HashSet<string> Silent { get; } = new(StringComparer.Ordinal);

    public Func<Question, Answer> Says { get; set; } =
        q => new Answer(true, q.Kind == QuestionKind.Number ? 8.8 : null, "", "A. Invented");

    public LoadStates States() => Unit.States();

    public Func<LoadStates, LoadStates> SaysOfBank { get; set; } = states => states;

    /// <summary>Begins, and goes on until the condition holds.</summary>
    public HandFedWorld Until(Predicate<HandFedWorld> reached, TimeSpan? within = null)
    {
        if (State.Phase == RunPhase.Waiting)
            Feed(new RunBegan(Machine.Now) { IsAttended = IsAttended });
        var end = Machine.Now + (within ?? TimeSpan.FromHours(3));
        while (!reached(this))
        {
            Assert.True(Machine.Now <= end && State.Phase != RunPhase.Closed, $"Not reached: {State.Phase}, {Where}");
            Move();
        }
        return this;
    }

    public HandFedWorld UntilClosed(TimeSpan? within = null)
    {
        var end = Machine.Now + (within ?? TimeSpan.FromHours(3));
        if (State.Phase == RunPhase.Waiting)
            Feed(new RunBegan(Machine.Now) { IsAttended = IsAttended });
        while (State.Phase != RunPhase.Closed)
        {
            Assert.True(Machine.Now <= end, $"Not closed: {State.Phase}, {Where}");
            Move();
        }
        return this;
    }

    /// <summary>No act of the plans here but those of heat takes longer; one that does waits for ever.</summary>
    private void CheckNotStuck() =>
        Assert.True(
            State.Phase != RunPhase.Stepping
                || Act is HeatAct or HeatRestAct or CoolAct
                || Machine.Now - State.Progress.Since < Longest(Act),
            $"Stuck: {Where}"
        );

    private static TimeSpan Longest(Act? act) =>
        TimeSpan.FromMinutes(4) + (act is SettleAct settle ? settle.Point.Hold : TimeSpan.Zero);

    /// <summary>Until the machine collects the readings of the first point with elements on.</summary>
    public HandFedWorld UntilMeasuringUnderLoad() =>
        Until(w => w.Act is MeasureAct { Point.State.Elements.IsEmpty: false } && w.State.NextLimits is null);

    public void For(TimeSpan span)
    {
        var end = Machine.Now + span;
        while (Machine.Now < end && State.Phase != RunPhase.Closed)
            Move();
    }

    public Act? Act => State.Act >= 0 && State.Act < State.Acts.Length ? State.Acts[State.Act] : null;

    private string Where => $"step {State.Step}, act {Act}, stage {State.Progress.Stage}, latched {State.Latched}";

    public ImmutableArray<RunCommand> Feed(RunInput input)
    {
        var commands = Machine.Feed(State.Latched is null ? input : input with { AllOff = _allOff });
        foreach (var command in commands)
        {
            if (command is Write { Entry: LoadOff { IsConfirmed: true } })
                WasOffWhenSaid = Contacts.IsEmpty || Unit.True(ChannelRole.BankAmperes, 0) == 0;
            if (!Ignores(command))
                Obey(command);
        }
        return commands;
    }

    /// <summary>Lets this be heard after what already waits.</summary>
    public void Later(RunInput input) => _waiting.Enqueue(input);

    /// <summary>Feeds what waits, or lets a scan period pass.</summary>
    public void Move()
    {
        if (_waiting.TryDequeue(out var input))
        {
            Feed(input with { At = Machine.Now });
            return;
        }
        CheckNotStuck();
        Machine.Now += RunMachine.ScanPeriod;
        var watchdog = Plan.Bench.Instrument(Plan.Bench.Bank.InstrumentId).Definition.Switching!.WatchdogSeconds;
        if (!HasDeadWatchdog && watchdog > 0 && (Machine.Now - _quietSince)?.TotalSeconds >= watchdog)
            Write(ElementSet.None);
        if (IsScanned)
            Scan();
        Feed(new Ticked(Machine.Now));
    }

    private void Scan()
    {
        _scans++;
        foreach (
            var instrument in Plan.Bench.Instruments.Where(i =>
                !Silent.Contains(i.Id) && !(_quietSince is not null && i.Id == Plan.Bench.Bank.InstrumentId)
            )
        )
        {
            var readings = ImmutableArray.CreateBuilder<Reading>();
            foreach (var (index, channel) in Plan.Bench.Channels.Index())
            {
                if (channel.InstrumentId != instrument.Id)
                    continue;
                var (value, flag) = Reads(channel, Unit.True(channel.Role, _scans));
                readings.Add(new Reading(index, value, flag, Machine.Now));
            }
            if (readings.Count > 0)
                Feed(new ReadingsArrived(Machine.Now, readings.ToImmutable()));
        }
    }

    private void Obey(RunCommand command)
    {
        switch (command)
        {
            case RemoveLoadNow:
                _allOff += new AllOffCounts(1, 1, 0);
                Write(ElementSet.None);
                IsRelayClosed = false;
                break;
            case SwitchOutput to:
                IsRelayClosed = to.IsOn;
                var (result, isClosed) = SaysOfRelay(IsRelayClosed);
                _waiting.Enqueue(new OutputFinished(Machine.Now, to.Command, result, isClosed));
                break;
            case WriteSynced write:
                _waiting.Enqueue(new EntrySynced(Machine.Now, write.Command));
                break;
            case SwitchElements to:
                Write(to.Elements);
                _waiting.Enqueue(new SwitchFinished(Machine.Now, to.Command, CommandResult.Ok));
                break;
            case ReadStates read:
                _waiting.Enqueue(new StatesArrived(Machine.Now, read.Number, SaysOfBank(States())));
                break;
            case Ask ask:
                Answer(ask.Question);
                break;
            case SetBankQuiet quiet:
                _quietSince = quiet.IsQuiet ? Machine.Now : null;
                break;
            case SetScanning scanning:
                IsScanned = scanning.IsOn;
                break;
        }
    }

    public void Write(ElementSet elements) => Unit.Write(elements);

    public void Answer(Question question)
    {
        var answer = Says(question);
        _waiting.Enqueue(new OperatorAnswered(Machine.Now, question.Number, answer));
        if (!answer.Yes)
            return;
        Unit.Do(question);
    }
}
