using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>The output-enable relay, where the bench has one: closed before the output is enabled, opened with every removal.</content>
internal sealed partial class Turn
{
    private void BeginOutput(OutputAct act)
    {
        var command = TakeCommandNumber();
        Progress = Progress with { Command = command, Stage = ActStage.Syncing };
        Do(new WriteSynced(new OutputIntended(now, command, act.IsOn), command));
    }

    private void OnOutputFinished(OutputFinished finished)
    {
        Write(new OutputSwitched(now, finished.Command, finished.Result, finished.IsClosed));
        if (State.Phase != RunPhase.Stepping || finished.Command != Progress.Command)
            return;
        if (CurrentAct is not OutputAct act)
            return;
        if (finished.Result.Outcome != CommandOutcome.Ok)
            Remove(
                new RemovalCause("LINK", $"The output-enable relay could not be read: {finished.Result.Detail}"),
                Outcome.Tripped
            );
        else if (finished.IsClosed == act.IsOn)
            NextAct("");
        else
            Remove(
                act.IsOn
                    ? new RemovalCause("MISMATCH", "The output-enable relay was closed, and its contact reads open.")
                    : new RemovalCause(
                        "STUCK",
                        "The output-enable relay was opened, and its contact reads closed: weld output off, engine off by its own switch, stay clear."
                    ),
                Outcome.Tripped
            );
    }
}
