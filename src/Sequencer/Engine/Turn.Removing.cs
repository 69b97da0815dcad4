using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <content>Every way out: load removed, read back, current gone, said so or said not to be.</content>
internal sealed partial class Turn
{
    /// <summary>When "not confirmed" is said to the operator.</summary>
    private static readonly TimeSpan ConfirmWithin = TimeSpan.FromSeconds(5);

    /// <summary>How long a run that a signal ends may still take to confirm.</summary>
    private static readonly TimeSpan ConfirmAfterSignal = TimeSpan.FromSeconds(4);

    /// <summary>How long all-off is repeated once nobody is left to acknowledge that it is not confirmed.</summary>
    private static readonly TimeSpan ConfirmAlone = TimeSpan.FromSeconds(30);

    private bool IsSignal => State.Latched!.Code == "SIGNAL";

    /// <summary>Removes the load for a first cause; later causes are only remarked.</summary>
    private void Remove(RemovalCause cause, Outcome outcome, string? who = null)
    {
        if (State.Latched is not null)
        {
            Remark(cause);
            return;
        }
        DoFirst(new RemoveLoadNow(cause));
        OnRemoved(cause, outcome, who);
    }

    private void Remark(RemovalCause cause) => Write(new Remarked(now, $"Later cause {cause.Code}: {cause.Detail}"));

    /// <summary>Remarks a later cause that readings would repeat with every scan.</summary>
    private void RemarkOnce(RemovalCause cause)
    {
        if (cause.Code == State.Latched?.Code || State.LaterCodes.Contains(cause.Code, StringComparer.Ordinal))
            return;
        State = State with { LaterCodes = State.LaterCodes.Add(cause.Code) };
        Remark(cause);
    }

    private void OnRemoved(RemovalCause cause, Outcome outcome, string? who)
    {
        State = State with
        {
            Latched = cause,
            Phase = RunPhase.Removing,
            Removal = new Removal(outcome, now, State.StatesAsked) { HadCurrent = HasCurrent, RepeatedAt = now },
        };
        SpeakAgain();
        FlushScan();
        Write(new LoadRemoved(now, cause));
        if (outcome == Outcome.Stopped)
            Write(new Stopped(now, who ?? cause.Code, cause.Detail));
        else
            Write(new Tripped(now, cause.Code, cause.Detail));
        Withdraw();
        if (!State.IsScanning && !State.WasEnergised)
        {
            Close(outcome, cause.Code, cause.Detail, BankEnd.NeverEnergised);
            return;
        }
        State = State with { AreStatesWanted = false };
        WantStates();
    }

    private void OnLoadGone(RemovalCause cause)
    {
        if (State.Latched is null)
        {
            var outcome = cause.Code switch
            {
                "LATE" => Outcome.Tripped,
                "ERROR" or "DISK" => Outcome.Interrupted,
                _ => Outcome.Stopped,
            };
            OnRemoved(cause, outcome, null);
        }
        else if (State.Latched != cause)
        {
            Remark(cause);
        }
    }

    private void OnBroke(RunBroke broke)
    {
        if (State.Latched is null)
            Remove(new RemovalCause(broke.Code, broke.Detail), Outcome.Interrupted);
        State = State with { Removal = State.Removal! with { Outcome = Outcome.Interrupted } };
    }

    private void OnOperatorLost(OperatorLost lost)
    {
        if (lost.Question != State.OpenQuestion)
            return;
        State = State with { OpenQuestion = null, OperatorLostAt = now };
        var cause = new RemovalCause("OPERATOR", $"Nobody answers any more: {lost.Detail}");
        if (State.Phase != RunPhase.Removing)
        {
            Remove(cause, Outcome.Interrupted);
            return;
        }
        Remark(cause);
        if (State.Removal!.IsConfirmed == true)
            CloseRemoved();
    }

    private void OnRemovalTick()
    {
        var removal = State.Removal!;
        if (removal.IsConfirmed == true)
        {
            if (now - State.StatesReadAt >= StatesEvery)
                WantStates();
        }
        else
        {
            Repeat();
            var waited = now - removal.Since;
            if (IsSignal && waited >= ConfirmAfterSignal || now - State.OperatorLostAt >= ConfirmAlone)
                CloseRemoved();
            else if (removal.IsConfirmed is null && waited >= ConfirmWithin)
                SayNotConfirmed();
        }
        if (State.Phase == RunPhase.Removing && State.Removal!.MustAsk && State.OpenQuestion is null)
            AskRemoved();
    }

    /// <summary>All-off and a reading of the states in turn: a slow bank is never asked faster than it answers.</summary>
    /// <remarks>
    /// The line lets the reading wait for the answer to the all-off, and a reading always ends; one that has not within
    /// <see cref="ConfirmWithin"/> does not hold the next all-off back.
    /// </remarks>
    private void Repeat()
    {
        var removal = State.Removal!;
        if (State.AreStatesWanted && now - removal.RepeatedAt < ConfirmWithin)
            return;
        DoFirst(new RemoveLoadNow(State.Latched!));
        State = State with { Removal = removal with { RepeatedAt = now } };
        WantStates();
    }

    private void SayNotConfirmed()
    {
        State = State with { Removal = State.Removal! with { IsConfirmed = false } };
        Write(new OffJudged(now, false, Facts));
        AskRemoved();
    }

    private void OnRemovalStates(int number, LoadStates states)
    {
        // Asked for before the removal, it counts for nothing; come behind one that counts, it is the last word of the bank all the same.
        var isCounted = State.ContactsSeen is { } seen && seen.At > State.Removal!.Since;
        if (number <= State.Removal!.StatesAfter && !isCounted)
            return;
        NoteContacts(states);
        WeighRemoval();
    }

    /// <summary>Off is what contacts, coils and current say together; it is taken back when one of them no longer does.</summary>
    private void WeighRemoval()
    {
        var removal = State.Removal!;
        var isOff = Facts.Confirm;
        if (isOff && removal.IsConfirmed != true)
            OnFoundOff(removal);
        else if (!isOff && removal.IsConfirmed == true)
            OnFoundOnAgain();
    }

    private OffFacts Facts => FactsSince(State.Removal!.Since);

    private void OnFoundOff(Removal removal)
    {
        var wasAsked = removal.IsConfirmed == false;
        State = State with { Removal = removal with { IsConfirmed = true }, Elements = ElementSet.None };
        Write(new OffJudged(now, true, Facts));
        Do(new SetFan(true));
        if (plan.Bench.OutputEnable is not null)
            Do(new SwitchOutput(0, false));
        if (IsSignal || State.OperatorLostAt is not null)
            CloseRemoved();
        else if (!wasAsked)
            AskRemoved();
    }

    private void OnFoundOnAgain()
    {
        State = State with { Removal = State.Removal! with { IsConfirmed = false } };
        DoFirst(new RemoveLoadNow(State.Latched!));
        Write(new OffJudged(now, false, Facts));
        Withdraw();
        AskRemoved();
    }

    private void AskRemoved()
    {
        if (State.OperatorLostAt is not null || IsSignal)
            return;
        var isOff = State.Removal!.IsConfirmed == true;
        var text = isOff
            ? $"Load removed: {State.Latched!.Detail} {OffWords.StillLive}"
            : $"LOAD OFF NOT CONFIRMED. {OffWords.Instruction} Acknowledge when the engine has stopped. Found: {OffWords.Of(Facts)}. Cause: {State.Latched!.Detail}";
        var number = State.Questions + 1;
        State = State with
        {
            Questions = number,
            OpenQuestion = number,
            Removal = State.Removal with { MustAsk = false },
        };
        var kind = isOff ? QuestionKind.Do : QuestionKind.Acknowledge;
        var question = new Question(number, kind, HandAction.StopEngine, text, null, null, Unit.One);
        Write(new Asked(now, question));
        Do(new Ask(question));
    }

    /// <summary>The person has stopped the engine, or has taken note that the load may still be on; a "no" is asked again.</summary>
    private void OnRemovalAnswer(Answer answer)
    {
        if (!answer.Yes)
        {
            State = State with { Removal = State.Removal! with { MustAsk = true } };
            return;
        }
        State = State with { Stopped = new EngineStopped(answer.Who, now) };
        // A last time: the line may have come back since the tick before.
        if (State.Removal!.IsConfirmed != true)
            DoFirst(new RemoveLoadNow(State.Latched!));
        CloseRemoved();
    }

    private void CloseRemoved()
    {
        var removal = State.Removal!;
        var bank =
            removal.IsConfirmed != true ? BankEnd.OffNotConfirmed
            : State.WasEnergised ? BankEnd.Off
            : BankEnd.NeverEnergised;
        Close(removal.Outcome, State.Latched!.Code, State.Latched.Detail, bank);
    }
}
