using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Acts: how each begins, and what moves it on.</content>
internal sealed partial class Turn
{
    /// <summary>Begins an act; true when it is over at once.</summary>
    private bool BeginAct(Act act)
    {
        switch (act)
        {
            case AskAct ask:
                BeginAsk(ask);
                return false;
            case SwitchAct to when to.To == State.Elements:
                return true;
            case SwitchAct to:
                BeginSwitch(to);
                return false;
            case OutputAct output:
                BeginOutput(output);
                return false;
            case GuardAct guard:
                State = State with
                {
                    Limits = State.Limits is { } old ? TripCheck.Hull(old, guard.Limits) : guard.Limits,
                    LeastVolts = null,
                    NextLimits = guard.Limits,
                    NextLeastVolts = guard.LeastVolts,
                    NextLimitsFrom = now + guard.Within,
                };
                return true;
            case DemandGateAct:
                return IsGateValid();
            case SampleAct sample:
                Do(new SetSampling(sample.Channel, sample.Every));
                return true;
            case HeatAct:
                BeginHeat();
                return false;
            case HeatRestAct rest:
                BeginHeatRest(rest);
                return false;
            case ScanAct:
                BeginScan();
                return true;
            case FanAct fan:
                Do(new SetFan(fan.IsOn));
                return true;
            case PassGateAct gate:
                var command = TakeCommandNumber();
                Progress = Progress with { Command = command };
                Do(new WriteSynced(new GatePassed(now, gate.Half, gate.ValidFor), command));
                return false;
            case ProveWatchdogAct:
                BeQuiet();
                return false;
            case ConfirmOffAct:
                Progress = Progress with { StatesAfter = State.StatesAsked };
                WantStates();
                return false;
            default:
                return false;
        }
    }

    private void BeginAsk(AskAct ask)
    {
        // Whoever answers this one is there: one question at a time.
        Withdraw();
        var number = State.Questions + 1;
        var question = new Question(number, ask.Kind, ask.Action, ask.Text, ask.Mode, ask.Setting, ask.Unit)
        {
            Display = ask.Display,
        };
        State = State with { Questions = number, OpenQuestion = number };
        Write(new Asked(now, question));
        Do(new Ask(question));
    }

    private void BeginScan()
    {
        if (State.IsScanning)
            return;
        State = State with
        {
            IsScanning = true,
            LastTick = now,
            LastGood = [.. State.LastGood.Select(r => r with { At = now })],
            StatesReadAt = now,
        };
        Do(new SetScanning(true));
        WantStates();
    }

    private int TakeCommandNumber()
    {
        State = State with { Commands = State.Commands + 1 };
        return State.Commands;
    }

    private void OnAnswer(OperatorAnswered answered)
    {
        if (answered.Question != State.OpenQuestion)
            return;
        var isPresence = answered.Question == State.PresenceQuestion;
        State = State with { OpenQuestion = null, PresenceQuestion = null, HeardAt = now, IsWarned = false };
        Write(new Answered(now, answered.Question, answered.Answer));
        if (State.Phase == RunPhase.Removing)
        {
            OnRemovalAnswer(answered.Answer);
            return;
        }
        if (isPresence)
        {
            OnPresence(answered.Answer);
            return;
        }
        if (CurrentAct is not AskAct ask)
            return;
        if (!answered.Answer.Yes && ask.StopsOnNo)
        {
            var said = answered.Answer.Remark.Length > 0 ? $": {answered.Answer.Remark}" : "";
            Remove(
                new RemovalCause("DECLINED", $"{answered.Answer.Who} answered no to \"{ask.Text}\"{said}"),
                Outcome.Stopped,
                answered.Answer.Who
            );
            return;
        }
        if (answered.Answer.Yes)
            Track(ask);
        NextAct("");
    }

    /// <summary>Remembers what the operator has just done at the unit.</summary>
    private void Track(AskAct ask) =>
        State = ask.Action switch
        {
            HandAction.StartEngine => State with { IsEngineRunning = true },
            HandAction.StopEngine => State with { IsEngineRunning = false, IsOutputEnabled = false },
            HandAction.EnableOutput => State with { IsOutputEnabled = true },
            HandAction.DisableOutput => State with { IsOutputEnabled = false },
            HandAction.SelectMode => State with { Mode = ask.Mode },
            HandAction.SetControl => State with { Setting = ask.Setting },
            _ => State,
        };

    /// <summary>Whatever happened meanwhile, nobody saw it: the load goes before anything is looked at.</summary>
    private void OnSlept(TimeSpan slept) =>
        Remove(
            new RemovalCause(
                "SUSPEND",
                $"The computer slept for {slept.TotalSeconds:0.0} s, and nothing was watched meanwhile. Keep it awake, on mains, with its lid open, then begin again."
            ),
            Outcome.Tripped
        );

    private void OnTick()
    {
        var late = TripCheck.Late(now - (State.LastTick ?? now));
        State = State with { LastTick = now };
        FlushScan();
        if (State.NextLimits is { } next && now >= State.NextLimitsFrom)
            State = State with { Limits = next, LeastVolts = State.NextLeastVolts, NextLimits = null };
        if (late is not null && State is { Phase: RunPhase.Stepping, IsScanning: true })
        {
            Remove(late, Outcome.Tripped);
            return;
        }
        if (State.Phase == RunPhase.Removing)
        {
            OnRemovalTick();
            return;
        }
        if (State.Phase != RunPhase.Stepping || CheckAges() || CheckAgreement() || CheckStages() || CheckPresence())
            return;
        if (State is { IsScanning: true, IsBankQuiet: false } && now - State.StatesReadAt >= StatesEvery)
            WantStates();
        switch (CurrentAct)
        {
            case WaitAct wait when now - Progress.Since >= wait.For:
                NextAct("");
                break;
            case SwitchAct when Progress.Stage == ActStage.Closing && now >= Progress.Due:
                Progress = Progress with { Stage = ActStage.ReadingBack, StatesAfter = State.StatesAsked };
                WantStates();
                break;
            case HeatAct heat:
                OnHeatTick(heat);
                break;
            case HeatRestAct rest:
                OnHeatRestTick(rest);
                break;
            case CoolAct cool:
                OnCoolTick(cool);
                break;
            case ProveWatchdogAct proof:
                OnQuietTick(proof);
                break;
            case SettleAct settle:
                OnSettleTick(settle);
                break;
            case MeasureAct measure:
                OnMeasureTick(measure);
                break;
            case ExpectVoltsAct
            or ExpectAmperesAct
            or AwaitNoCurrentAct
            or ConfirmOffAct when now - Progress.Since > ExpectWithin:
                GiveUpExpecting();
                break;
            case ConfirmOffAct:
                WantStates();
                break;
        }
    }
}
