using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>The bank's own communication watchdog: the one thing that drops the load when this computer dies, proved before it is trusted.</content>
internal sealed partial class Turn
{
    private void BeQuiet()
    {
        State = State with { IsBankQuiet = true };
        Do(new SetBankQuiet(true));
    }

    /// <summary>Speaks to the bank again; its channels are judged by their age from now on.</summary>
    private void SpeakAgain()
    {
        if (!State.IsBankQuiet)
            return;
        State = State with { IsBankQuiet = false, StatesReadAt = now, BankSpokenTo = now };
        Do(new SetBankQuiet(false));
    }

    private void OnQuietTick(ProveWatchdogAct proof)
    {
        if (!State.IsBankQuiet || now - Progress.Since < proof.Silence)
            return;
        SpeakAgain();
        Progress = Progress with { StatesAfter = State.StatesAsked };
        WantStates();
    }

    private void OnWatchdogStates(ProveWatchdogAct proof, int number, LoadStates states)
    {
        if (State.IsBankQuiet || number <= Progress.StatesAfter)
            return;
        if (!states.Contacts.IsEmpty)
        {
            Remove(
                new RemovalCause(
                    "WATCHDOG",
                    $"Nothing was said to the bank for {proof.Silence.TotalSeconds:0.0} s, and element {states.Contacts} is still on: its communication watchdog, armed at {Switching.WatchdogSeconds} s, does not work. Have it put right, or take it out of the definition file and stay at the hard-wired stop."
                ),
                AtTheGate
            );
            return;
        }
        State = State with { IsWatchdogProved = true };
        Write(
            new GateChecked(
                now,
                "communication watchdog",
                true,
                $"proved: element {State.Elements} dropped by itself within {proof.Silence.TotalSeconds:0.0} s of silence"
            )
        );
        NextAct("");
    }
}
