using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>One transition of the run machine while it is being worked out.</summary>
internal sealed partial class Turn(RunPlan plan, RunState state, TimeSpan now)
{
    private readonly ImmutableArray<RunCommand>.Builder _commands = ImmutableArray.CreateBuilder<RunCommand>();

    public RunState State { get; private set; } = state;

    public ImmutableArray<RunCommand> Commands => _commands.DrainToImmutable();

    /// <summary>What the step does now, for as long as it steps; null where its last act is over.</summary>
    private Act? CurrentAct => State.Act < State.Acts.Length ? State.Acts[State.Act] : null;

    private ActProgress Progress
    {
        get => State.Progress;
        set => State = State with { Progress = value };
    }

    public void Take(RunInput input)
    {
        if (State.Removal is { } removal)
            State = State with { Removal = removal with { AllOff = input.AllOff } };
        switch (input)
        {
            case RunBegan began:
                Begin(began.IsAttended);
                break;
            case ReadingsArrived arrived:
                OnReadings(arrived.Readings);
                break;
            case Ticked:
                OnTick();
                break;
            case OperatorAnswered answered:
                OnAnswer(answered);
                break;
            case EntrySynced synced:
                OnSynced(synced.Command);
                break;
            case SwitchFinished finished:
                OnSwitchFinished(finished);
                break;
            case OutputFinished finished:
                OnOutputFinished(finished);
                break;
            case StatesArrived arrived:
                OnStates(arrived.Number, arrived.States);
                break;
            case OperatorLost lost:
                OnOperatorLost(lost);
                break;
            case StopAsked stop:
                Remove(new RemovalCause("STOP", $"Stopped by {stop.Who}: {stop.Detail}"), Outcome.Stopped, stop.Who);
                break;
            case ClockStepped stepped:
                Write(new ClockMoved(now, stepped.By));
                break;
            case MachineSlept slept:
                OnSlept(slept.For);
                break;
            case LoadGone gone:
                OnLoadGone(gone.Cause);
                break;
            case RunBroke broke:
                OnBroke(broke);
                break;
            default:
                throw new ArgumentException($"The run machine knows no input {input.GetType().Name}.", nameof(input));
        }
    }

    private void Do(RunCommand command) => _commands.Add(command);

    /// <summary>All-off goes before whatever this turn has wanted so far, the journal included.</summary>
    private void DoFirst(RemoveLoadNow removal) => _commands.Insert(0, removal);

    private void Write(JournalEntry entry) => Do(new Write(entry));

    private void Begin(bool isAttended)
    {
        if (State.Phase != RunPhase.Waiting)
            return;
        State = State with
        {
            Phase = RunPhase.Stepping,
            Step = -1,
            GateFrom = now,
            IsAttended = isAttended,
            HeardAt = now,
            LastGood = [.. plan.Bench.Channels.Select((_, k) => new Reading(k, 0, IndicationFlag.Missing, now))],
            Same = [.. plan.Bench.Channels.Select(_ => new Sameness(0, now))],
        };
        NextStep();
    }

    /// <summary>Goes to the next step, or to the end when there is none.</summary>
    private void NextStep()
    {
        var next = State.Step + 1;
        State = State with { Step = next };
        if (next > plan.Steps.Length)
        {
            Close(
                Outcome.Complete,
                "",
                "",
                !State.WasEnergised ? BankEnd.NeverEnergised
                    : State.IsFoundOff ? BankEnd.Off
                    : BankEnd.OffNotConfirmed
            );
            return;
        }
        if (next < plan.Steps.Length)
        {
            var step = plan.Steps[next];
            Write(new StepStarted(now, step.Number, step.Title));
            Enter(StepActs.For(plan, step, State));
        }
        else
        {
            Enter(StepActs.Ending(plan, State));
        }
    }

    private void Enter(ImmutableArray<Act> acts)
    {
        State = State with { Acts = acts, Act = -1, Progress = new ActProgress() };
        NextAct("");
    }

    /// <summary>Ends the present act and begins the next; with none left, ends the step.</summary>
    private void NextAct(string remark)
    {
        while (true)
        {
            State = State with
            {
                Act = State.Act + 1,
                Progress = new ActProgress
                {
                    Since = now,
                    Words = Progress.Words,
                    HasSettled = Progress.HasSettled,
                },
            };
            if (CurrentAct is not { } act)
            {
                if (State.Step < plan.Steps.Length)
                    Write(new StepEnded(now, plan.Steps[State.Step].Number, remark));
                NextStep();
                return;
            }
            if (!BeginAct(act))
                return;
        }
    }

    private void Close(Outcome outcome, string code, string detail, BankEnd bank)
    {
        // The last word on the load stands before the end: what was found, and who says that the engine has stopped.
        if (bank == BankEnd.OffNotConfirmed)
            Write(new OffJudged(now, false, FactsSince(State.Removal?.Since ?? now)));
        State = State with { Phase = RunPhase.Closed };
        Withdraw();
        if (State.IsScanning)
            Do(new SetScanning(false));
        FlushScan();
        Do(new Finish(new RunClosed(now, outcome, code, detail, bank)));
    }

    private void FlushScan()
    {
        if (State.Scan.IsEmpty)
            return;
        Write(new Scanned(now, State.Scan));
        State = State with { Scan = [] };
    }

    private void Withdraw()
    {
        if (State.OpenQuestion is null)
            return;
        State = State with { OpenQuestion = null, PresenceQuestion = null };
        Do(new WithdrawQuestion());
    }

    private Channel Channel(int index) => plan.Bench.Channels[index];

    private Reading? LastGood(ChannelRole role, bool isFast = false)
    {
        for (var k = 0; k < plan.Bench.Channels.Length; k++)
        {
            if (
                Channel(k).Role == role
                && (Channel(k).IsFast || !isFast)
                && State.LastGood[k].Flag == IndicationFlag.Good
            )
                return State.LastGood[k];
        }
        return null;
    }
}
