using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Switching elements: intent on disk, command, contacts read back; and what the bank says by itself.</content>
internal sealed partial class Turn
{
    /// <summary>How often the bank's states are read while scanning.</summary>
    private static readonly TimeSpan StatesEvery = TimeSpan.FromSeconds(1);

    /// <summary>Read-backs in a row that may fail before the link to the bank counts as lost.</summary>
    private const int StatesMayMiss = 3;

    private BankSwitching Switching => plan.Bench.Instrument(plan.Bench.Bank.InstrumentId).Definition.Switching!;

    private void BeginSwitch(SwitchAct to)
    {
        var command = TakeCommandNumber();
        Progress = Progress with { Command = command, Stage = ActStage.Syncing };
        Do(new WriteSynced(new SwitchIntended(now, command, to.To), command));
    }

    private void OnSynced(int command)
    {
        if (State.Phase != RunPhase.Stepping || command != Progress.Command)
            return;
        if (CurrentAct is PassGateAct)
        {
            NextAct("");
        }
        else if (CurrentAct is SwitchAct to && Progress.Stage == ActStage.Syncing)
        {
            Progress = Progress with { Stage = ActStage.Switching };
            State = State with { WasEnergised = State.WasEnergised || !to.To.IsEmpty };
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
                new RemovalCause("MISMATCH", $"The bank refused the command: {finished.Result.Detail}"),
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
        State = State with { AreStatesWanted = true };
        Do(new ReadStates());
    }

    private void OnStates(LoadStates states)
    {
        State = State with { AreStatesWanted = false, StatesReadAt = now };
        Write(new StatesRead(now, states));
        if (State.Phase == RunPhase.Removing)
        {
            OnRemovalStates(states);
            return;
        }
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
            case SwitchAct to when Progress.Stage == ActStage.ReadingBack:
                OnReadBack(to.To, states);
                break;
            case SwitchAct:
                break;
            case ConfirmOffAct:
                OnConfirmOffStates(states);
                break;
            default:
                DemandContacts(State.Elements, states);
                break;
        }
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
        DemandContacts(wanted, states);
    }

    /// <summary>Trips when contacts differ from the elements commanded, in the words of which way they differ.</summary>
    private void DemandContacts(ElementSet wanted, LoadStates states)
    {
        if (states.Contacts == wanted)
            return;
        var extra = new ElementSet(states.Contacts.Mask & ~wanted.Mask);
        var missing = new ElementSet(wanted.Mask & ~states.Contacts.Mask);
        Remove(
            !extra.IsEmpty
                ? new RemovalCause(
                    "STUCK",
                    $"ELEMENT {extra} STILL ON though elements {wanted} were commanded: weld output off, engine off by its own switch, stay clear."
                )
                : new RemovalCause(
                    "STEP",
                    $"Element {missing} did not close; elements {wanted} were commanded and {states.Contacts} are closed."
                ),
            extra.IsEmpty ? Outcome.Failed : Outcome.Tripped
        );
    }

    private void OnConfirmOffStates(LoadStates states)
    {
        if (!states.Contacts.IsEmpty || !HasNoCurrentSince(Progress.Since))
            return;
        Write(new LoadOff(now, true, OffWords()));
        NextAct("");
    }
}
