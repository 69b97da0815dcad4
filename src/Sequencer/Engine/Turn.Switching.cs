using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Switching elements: intent on disk, command, contacts read back; and what the bank says by itself.</content>
internal sealed partial class Turn
{
    /// <summary>How often the bank's states are read while scanning.</summary>
    /// <remarks>A pressed hard-wired stop, hot air and a missing air flow are seen within this and one reading.</remarks>
    private static readonly TimeSpan StatesEvery = TimeSpan.FromMilliseconds(400);

    /// <summary>Longest time without any answer about the bank's states.</summary>
    private static readonly TimeSpan StatesWithin = TimeSpan.FromSeconds(5);

    /// <summary>Longest time an entry may take to be durable, and again a command to end.</summary>
    private static readonly TimeSpan StageWithin = TimeSpan.FromSeconds(5);

    /// <summary>Read-backs in a row that may fail before the link to the bank counts as lost.</summary>
    private const int StatesMayMiss = 3;

    private BankSwitching Switching => plan.Bench.Instrument(plan.Bench.Bank.InstrumentId).Definition.Switching!;

    private void BeginSwitch(SwitchAct to)
    {
        var command = TakeCommandNumber();
        Progress = Progress with { Command = command, Stage = ActStage.Syncing };
        State = State with { BeforeStep = FastPair is { } pair ? (pair.Volts.Value, Amperes(pair.Amperes)) : null };
        Do(new WriteSynced(new SwitchIntended(now, command, to.To), command));
    }

    private void OnSynced(int command)
    {
        if (State.Phase != RunPhase.Stepping || command != Progress.Command)
            return;
        if (CurrentAct is PassGateAct)
        {
            State = State with { IsGatePassed = true };
            NextAct("");
        }
        else if (CurrentAct is OutputAct output && Progress.Stage == ActStage.Syncing)
        {
            Progress = Progress with { Stage = ActStage.Switching };
            State = State with { WasEnergised = State.WasEnergised || output.IsOn };
            Do(new SwitchOutput(command, output.IsOn));
        }
        else if (CurrentAct is SwitchAct to && Progress.Stage == ActStage.Syncing)
        {
            Progress = Progress with { Stage = ActStage.Switching };
            State = State with
            {
                WasEnergised = State.WasEnergised || !to.To.IsEmpty,
                IsFoundOff = State.IsFoundOff && to.To.IsEmpty,
            };
            Do(new SwitchElements(command, to.To));
        }
    }

    private void OnSwitchFinished(SwitchFinished finished)
    {
        Write(new SwitchEnded(now, finished.Command, finished.Result));
        if (State.Phase != RunPhase.Stepping || finished.Command != Progress.Command || CurrentAct is not SwitchAct)
            return;
        if (finished.Result.Outcome == CommandOutcome.Failed)
        {
            Remove(
                new RemovalCause("MISMATCH", $"The bank did not take the command: {finished.Result.Detail}"),
                Outcome.Tripped
            );
            return;
        }
        // Ok or unknown, what counts is what the contacts say once they had time to move.
        Progress = Progress with
        {
            Stage = ActStage.Closing,
            Due = now + SlowestContact,
        };
    }

    private TimeSpan SlowestContact =>
        Switching.CloseTime > Switching.OpenTime ? Switching.CloseTime : Switching.OpenTime;

    private void WantStates()
    {
        if (State.AreStatesWanted)
            return;
        State = State with { AreStatesWanted = true, StatesAsked = State.StatesAsked + 1 };
        Do(new ReadStates(State.StatesAsked));
    }

    private void OnStates(int number, LoadStates states)
    {
        State = State with
        {
            AreStatesWanted = State.AreStatesWanted && number != State.StatesAsked,
            StatesReadAt = now,
        };
        Write(new StatesRead(now, states));
        if (State.Phase == RunPhase.Removing)
        {
            OnRemovalStates(number, states);
            return;
        }
        NoteContacts(states);
        if (State.Phase != RunPhase.Stepping)
            return;
        if (states.Outcome != CommandOutcome.Ok)
        {
            OnStatesMissed(states);
            return;
        }
        State = State with { StatesMissed = 0 };
        if (TripCheck.OfBank(states, State.Elements) is { } cause)
        {
            Remove(cause, Outcome.Tripped);
            return;
        }
        switch (CurrentAct)
        {
            case SwitchAct to when Progress.Stage == ActStage.ReadingBack && number > Progress.StatesAfter:
                OnReadBack(to.To, states);
                break;
            case ProveWatchdogAct proof:
                OnWatchdogStates(proof, number, states);
                break;
            case SwitchAct { To: var to }:
                DemandContacts(State.Elements.Intersect(to), State.Elements.Union(to), states.Contacts);
                if (Progress.Stage == ActStage.ReadingBack)
                    WantStates();
                break;
            default:
                if (Demand(State.Elements, states) && CurrentAct is ConfirmOffAct && number > Progress.StatesAfter)
                    OnConfirmOffStates();
                break;
        }
    }

    private void NoteContacts(LoadStates states)
    {
        if (states.Outcome == CommandOutcome.Ok)
            State = State with { ContactsSeen = new ContactsRead(states.Contacts.Union(states.Commanded), now) };
    }

    private void OnStatesMissed(LoadStates states)
    {
        State = State with { StatesMissed = State.StatesMissed + 1 };
        if (State.StatesMissed >= StatesMayMiss)
        {
            Remove(
                new RemovalCause(
                    "LINK",
                    $"The bank's states could not be read {State.StatesMissed} times in a row; {StatesMayMiss - 1} are allowed: {states.Detail}"
                ),
                Outcome.Tripped
            );
            return;
        }
        WantStates();
    }

    private void OnReadBack(ElementSet wanted, LoadStates states)
    {
        if (states.Contacts == wanted && states.Commanded == wanted)
        {
            State = State with { Elements = wanted };
            NextAct("");
            return;
        }
        if (Progress.Tries == 0)
        {
            Progress = Progress with { Tries = 1, Stage = ActStage.Closing, Due = now + SlowestContact };
            return;
        }
        Demand(wanted, states);
    }

    /// <summary>Trips when contacts or coils differ from the elements that should be on; true when they do not.</summary>
    private bool Demand(ElementSet wanted, LoadStates states)
    {
        if (!DemandContacts(wanted, wanted, states.Contacts))
            return false;
        if (states.Commanded == wanted)
            return true;
        Remove(
            new RemovalCause(
                "MISMATCH",
                $"The bank holds elements {states.Commanded} commanded; elements {wanted} were sent and their contacts are closed."
            ),
            Outcome.Tripped
        );
        return false;
    }

    /// <summary>Trips when a contact is closed beyond <paramref name="most"/> or open within <paramref name="least"/>, by name.</summary>
    private bool DemandContacts(ElementSet least, ElementSet most, ElementSet contacts)
    {
        var (extra, missing) = (contacts.Except(most), least.Except(contacts));
        if (!extra.IsEmpty)
        {
            Remove(
                new RemovalCause(
                    "STUCK",
                    $"ELEMENT {extra} STILL ON though elements {most} were commanded: weld output off, engine off by its own switch, stay clear."
                ),
                Outcome.Tripped
            );
        }
        else if (!missing.IsEmpty)
        {
            Remove(
                new RemovalCause(
                    "STEP",
                    $"Element {missing} did not close; elements {least} were commanded and {contacts} are closed."
                ),
                Outcome.Failed
            );
        }
        return extra.IsEmpty && missing.IsEmpty;
    }

    private void OnConfirmOffStates()
    {
        var facts = FactsSince(Progress.Since);
        if (!facts.Confirm)
            return;
        State = State with { IsFoundOff = true };
        Write(new OffJudged(now, true, facts));
        NextAct("");
    }

    /// <summary>Ends the run when storage, a command or the bank's states keep it waiting too long; true when it did.</summary>
    private bool CheckStages()
    {
        var waited = now - Progress.Since;
        RemovalCause? cause = null;
        if (
            CurrentAct is PassGateAct or SwitchAct or OutputAct
            && Progress.Stage <= ActStage.Syncing
            && waited > StageWithin
        )
        {
            cause = new RemovalCause(
                "DISK",
                $"The journal did not make an entry durable within {StageWithin.TotalSeconds} s; nothing is switched without it."
            );
        }
        else if (
            CurrentAct is SwitchAct or OutputAct
            && Progress.Stage == ActStage.Switching
            && waited > 2 * StageWithin
        )
        {
            cause = new RemovalCause("LINK", $"A switching command did not end within {StageWithin.TotalSeconds} s.");
        }
        else if (State is { IsScanning: true, IsBankQuiet: false } && now - State.StatesReadAt > StatesWithin)
        {
            cause = new RemovalCause(
                "LINK",
                $"The bank said nothing about its states for {(now - State.StatesReadAt).TotalSeconds:0.0} s; the limit is {StatesWithin.TotalSeconds} s."
            );
        }
        if (cause is not null)
            Remove(cause, cause.Code == "DISK" ? Outcome.Interrupted : Outcome.Tripped);
        return cause is not null;
    }
}
