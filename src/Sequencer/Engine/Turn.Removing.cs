using LoadTest.Sequencer.Benches;
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
    private static readonly TimeSpan ConfirmAfterSignal = TimeSpan.FromSeconds(2);

    private const string NotConfirmedText =
        "LOAD OFF NOT CONFIRMED. Switch the weld output off, stop the engine with its own switch, stay clear; do not pull a lead or plug. Acknowledge when the engine has stopped.";

    /// <summary>Removes the load for a first cause; later causes are only remarked.</summary>
    private void Remove(RemovalCause cause, Outcome outcome)
    {
        if (State.Latched is not null)
        {
            Write(new Remarked(now, $"Later cause {cause.Code}: {cause.Detail}"));
            return;
        }
        Do(new RemoveLoadNow(cause));
        OnRemoved(cause, outcome);
    }

    private void OnRemoved(RemovalCause cause, Outcome outcome)
    {
        State = State with
        {
            Latched = cause,
            Phase = RunPhase.Removing,
            Removal = new Removal(outcome, now, false, false, null, false, false),
        };
        FlushScan();
        Write(new LoadRemoved(now, cause));
        if (outcome == Outcome.Stopped)
            Write(new Stopped(now, cause.Code, cause.Detail));
        else
            Write(new Tripped(now, cause.Code, cause.Detail));
        if (State.OpenQuestion is not null)
        {
            State = State with { OpenQuestion = null };
            Do(new WithdrawQuestion());
        }
        if (!State.IsScanning)
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
            OnRemoved(cause, cause.Code == "LATE" ? Outcome.Tripped : Outcome.Stopped);
    }

    private void OnBroke(RunBroke broke)
    {
        if (State.Latched is null)
            Remove(new RemovalCause(broke.Code, broke.Detail), Outcome.Interrupted);
        if (State.Removal is { } removal)
            State = State with { Removal = removal with { IsStorageLost = true, Outcome = Outcome.Interrupted } };
    }

    private void OnRemovalTick()
    {
        var removal = State.Removal!;
        if (removal.IsConfirmed == true)
            return;
        Do(new RemoveLoadNow(State.Latched!));
        WantStates();
        var waited = now - removal.Since;
        if (removal.IsConfirmed is null && waited >= (IsSignal ? ConfirmAfterSignal : ConfirmWithin))
            SayNotConfirmed(removal);
    }

    private bool IsSignal => State.Latched!.Code == "SIGNAL";

    private void SayNotConfirmed(Removal removal)
    {
        State = State with { Removal = removal with { IsConfirmed = false } };
        Write(new LoadOff(now, false, OffWords()));
        if (IsSignal)
            CloseRemoved();
        else
            AskRemoved(QuestionKind.Acknowledge, NotConfirmedText);
    }

    private void OnRemovalStates(LoadStates states)
    {
        if (states.Outcome == CommandOutcome.Ok)
            State = State with { Removal = State.Removal! with { AreContactsOpen = states.Contacts.IsEmpty } };
        ConfirmRemoval();
    }

    private void OnRemovalReading(Reading reading)
    {
        if (reading.At > State.Removal!.Since && IsCurrentWitness(Channel(reading.Channel).Role))
            State = State with { Removal = State.Removal! with { IsCurrentGone = IsNoCurrent(reading) } };
        ConfirmRemoval();
    }

    private void ConfirmRemoval()
    {
        var removal = State.Removal!;
        if (removal.IsConfirmed == true || !removal.AreContactsOpen || !removal.IsCurrentGone)
            return;
        var wasAsked = removal.IsConfirmed == false;
        State = State with { Removal = removal with { IsConfirmed = true } };
        Write(new LoadOff(now, true, OffWords()));
        Do(new SetFan(true));
        if (IsSignal || removal.IsStorageLost)
            CloseRemoved();
        else if (!wasAsked)
            AskRemoved(
                QuestionKind.Do,
                $"Load removed: {State.Latched!.Detail} Disable the output and stop the engine. The studs are live until it has stopped and the voltage is measured."
            );
    }

    private void AskRemoved(QuestionKind kind, string text)
    {
        State = State with { Removal = State.Removal! with { HasAsked = true } };
        var number = State.Questions + 1;
        State = State with { Questions = number, OpenQuestion = number };
        var question = new Question(number, kind, HandAction.StopEngine, text, null, null, Unit.One);
        Write(new Asked(now, question));
        Do(new Ask(question));
    }

    /// <summary>The person has stopped the engine, or has taken note that the load may still be on.</summary>
    private void OnRemovalAnswer() => CloseRemoved();

    private void CloseRemoved()
    {
        var removal = State.Removal!;
        var bank =
            removal.IsConfirmed != true ? BankEnd.OffNotConfirmed
            : State.WasEnergised ? BankEnd.Off
            : BankEnd.NeverEnergised;
        Close(removal.Outcome, State.Latched!.Code, State.Latched.Detail, bank);
    }

    /// <summary>Channels of other instruments than the bank that would show a current.</summary>
    private static bool IsCurrentWitness(ChannelRole role) =>
        role is ChannelRole.ReferenceShuntDrop or ChannelRole.UnitShuntDrop;

    /// <summary>Whether a shunt reading says that no current flows: below 1 % of the shunt's rating.</summary>
    private bool IsNoCurrent(Reading reading) =>
        Math.Abs(reading.Value)
        < 0.01
            * (
                Channel(reading.Channel).Role == ChannelRole.ReferenceShuntDrop
                    ? plan.Bench.ReferenceShunt.RatedVolts.Value
                    : plan.Nameplate.Shunt.RatedVolts.Value
            );

    private bool HasNoCurrentSince(TimeSpan since)
    {
        for (var k = 0; k < State.LastGood.Length; k++)
        {
            var reading = State.LastGood[k];
            if (IsCurrentWitness(Channel(k).Role) && reading.At > since && IsNoCurrent(reading))
                return true;
        }
        return false;
    }

    private string OffWords()
    {
        var drop = LastGood(ChannelRole.ReferenceShuntDrop);
        var amperes = drop is { } r
            ? $"{ReferenceAmperes(r.Value):0.##} A by the reference shunt"
            : "no current reading";
        var volts = LastGood(ChannelRole.StudVolts) is { } v ? $"{v.Value:0.#} V at the studs" : "no voltage reading";
        var contacts = State.Removal is { AreContactsOpen: false }
            ? "contacts not read open"
            : "all contacts read open";
        return $"{contacts}, {amperes}, {volts}";
    }
}
