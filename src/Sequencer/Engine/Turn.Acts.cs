using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Acts: how each begins, and what moves it on.</content>
internal sealed partial class Turn
{
    /// <summary>Longest wait for volts, amperes or their absence before the run gives up.</summary>
    private static readonly TimeSpan ExpectWithin = TimeSpan.FromSeconds(15);

    /// <summary>Readings inside the band, in a row, that settle an expectation.</summary>
    private const int ExpectInARow = 5;

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
            case GuardAct guard:
                State = State with
                {
                    Limits = State.Limits is { } old ? TripCheck.Hull(old, guard.Limits) : guard.Limits,
                    NextLimits = guard.Limits,
                    NextLimitsFrom = now + guard.Within,
                };
                return true;
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
            case ConfirmOffAct:
                WantStates();
                return false;
            default:
                return false;
        }
    }

    private void BeginAsk(AskAct ask)
    {
        var number = State.Questions + 1;
        var question = new Question(number, ask.Kind, ask.Action, ask.Text, ask.Mode, ask.Setting, ask.Unit);
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
        State = State with { OpenQuestion = null };
        Write(new Answered(now, answered.Question, answered.Answer));
        if (State.Phase == RunPhase.Removing)
        {
            OnRemovalAnswer();
            return;
        }
        if (CurrentAct is not AskAct ask)
            return;
        if (!answered.Answer.Yes && ask.StopsOnNo)
        {
            var said = answered.Answer.Remark.Length > 0 ? $": {answered.Answer.Remark}" : "";
            Remove(
                new RemovalCause("DECLINED", $"{answered.Answer.Who} answered no to \"{ask.Text}\"{said}"),
                Outcome.Stopped
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

    private void OnTick()
    {
        FlushScan();
        if (State.NextLimits is { } next && now >= State.NextLimitsFrom)
            State = State with { Limits = next, NextLimits = null };
        if (State.Phase == RunPhase.Removing)
        {
            OnRemovalTick();
            return;
        }
        if (State.Phase != RunPhase.Stepping || CheckAges())
            return;
        if (State.IsScanning && now - State.StatesReadAt >= StatesEvery)
            WantStates();
        switch (CurrentAct)
        {
            case WaitAct wait when now - Progress.Since >= wait.For:
                NextAct("");
                break;
            case SwitchAct when Progress.Stage == ActStage.Closing && now >= Progress.Due:
                Progress = Progress with { Stage = ActStage.ReadingBack };
                WantStates();
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

    /// <summary>Counts readings that are as expected, in a row; the act ends with enough of them.</summary>
    private void OnExpectedReading(Reading reading)
    {
        var role = Channel(reading.Channel).Role;
        bool? isAsExpected = CurrentAct switch
        {
            ExpectVoltsAct volts when role == ChannelRole.StudVolts => volts.Allowed.Contains(reading.Value),
            ExpectAmperesAct amperes when role == ChannelRole.ReferenceShuntDrop => amperes.Allowed.Contains(
                ReferenceAmperes(reading.Value)
            ) && DoesBankAgree(ReferenceAmperes(reading.Value)),
            AwaitNoCurrentAct when role == ChannelRole.ReferenceShuntDrop => IsNoCurrent(reading),
            _ => null,
        };
        if (isAsExpected is not { } yes)
            return;
        Progress = Progress with { Tries = yes ? Progress.Tries + 1 : 0 };
        if (Progress.Tries >= ExpectInARow)
            NextAct("");
    }

    private void GiveUpExpecting()
    {
        var seconds = ExpectWithin.TotalSeconds;
        switch (CurrentAct)
        {
            case ExpectVoltsAct volts:
                var v = LastGood(ChannelRole.StudVolts)?.Value ?? double.NaN;
                Remove(
                    v < 0 && volts.Allowed.Lower > 0
                        ? new RemovalCause(
                            "POLARITY",
                            $"Volts at the studs read {v:0.##} V; positive volts were expected. Stop the engine and swap the sense leads or the weld leads."
                        )
                        : new RemovalCause(
                            "VOLTS",
                            $"Volts at the studs read {v:0.##} V after {seconds} s; {volts.Allowed.Lower:0.##} V to {volts.Allowed.Upper:0.##} V were expected with the bank open."
                        ),
                    Outcome.Refused
                );
                break;
            case ExpectAmperesAct amperes:
                var a = LastGood(ChannelRole.ReferenceShuntDrop) is { } drop
                    ? ReferenceAmperes(drop.Value)
                    : double.NaN;
                var bank = LastGood(ChannelRole.BankAmperes)?.Value ?? double.NaN;
                Remove(
                    new RemovalCause(
                        a < 0 && amperes.Allowed.Lower > 0 ? "POLARITY" : "PLAUSIBILITY",
                        $"The proving load drew {a:0.##} A by the reference shunt and {bank:0.##} A by the bank after {seconds} s; {amperes.Allowed.Lower:0.##} A to {amperes.Allowed.Upper:0.##} A by both were expected."
                    ),
                    Outcome.Refused
                );
                break;
            default:
                Remove(
                    new RemovalCause(
                        "MISMATCH",
                        $"The load should be off, but after {seconds} s contacts and current do not both say so."
                    ),
                    Outcome.Failed
                );
                break;
        }
    }

    private double ReferenceAmperes(double drop) =>
        drop * (plan.Bench.ReferenceShunt.RatedAmperes.Value / plan.Bench.ReferenceShunt.RatedVolts.Value);

    /// <summary>Whether the bank's own sensor agrees with the reference shunt within 10 % and 3 A.</summary>
    private bool DoesBankAgree(double amperes) =>
        LastGood(ChannelRole.BankAmperes) is not { } bank
        || Math.Abs(bank.Value - amperes) <= 0.1 * Math.Abs(amperes) + 3;
}
