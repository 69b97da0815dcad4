using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <content>Attendance: on a real bench a person confirms being there; nobody answering, the load goes.</content>
internal sealed partial class Turn
{
    /// <summary>After a question went unanswered this long beyond the profile's interval, the person is warned.</summary>
    private static readonly TimeSpan WarnAfter = TimeSpan.FromSeconds(30);

    /// <summary>After this long beyond it the load is removed.</summary>
    private static readonly TimeSpan UnattendedAfter = TimeSpan.FromSeconds(60);

    private bool IsAttendanceDue =>
        State.IsAttended && (State.IsOutputEnabled || !State.Elements.IsEmpty || CurrentAct is SwitchAct);

    /// <summary>Asks for, warns about, and ends for want of a person's presence; true when the run is being ended.</summary>
    private bool CheckPresence()
    {
        if (!IsAttendanceDue)
            return false;
        var beyond = now - State.HeardAt - plan.Profile.PresenceEvery;
        if (beyond >= UnattendedAfter)
        {
            Remove(
                new RemovalCause(
                    "UNATTENDED",
                    $"Nobody has answered for {(now - State.HeardAt).TotalMinutes:0.0} min; {plan.Profile.PresenceEvery.TotalMinutes:0.#} min and {UnattendedAfter.TotalSeconds:0} s are allowed with the output enabled. A run is never left alone."
                ),
                Outcome.Stopped,
                "nobody"
            );
            return true;
        }
        if (beyond >= TimeSpan.Zero && State.OpenQuestion is null)
            AskPresence();
        if (beyond >= WarnAfter && !State.IsWarned)
        {
            State = State with { IsWarned = true };
            Write(
                new Remarked(
                    now,
                    $"NOBODY ANSWERS. The load is removed in {(UnattendedAfter - beyond).TotalSeconds:0} s unless the open question is answered."
                )
            );
        }
        return false;
    }

    private void AskPresence()
    {
        var number = State.Questions + 1;
        State = State with { Questions = number, OpenQuestion = number, PresenceQuestion = number };
        var question = new Question(
            number,
            QuestionKind.YesNo,
            HandAction.None,
            $"Are you at the bench, and is everything in order? Without an answer the load is removed in {UnattendedAfter.TotalSeconds:0} s.",
            null,
            null,
            Unit.One
        );
        Write(new Asked(now, question));
        Do(new Ask(question));
    }

    /// <summary>Somebody is there; a "no" says that something is not in order, and ends the run.</summary>
    private void OnPresence(Answer answer)
    {
        if (answer.Yes)
            return;
        var said = answer.Remark.Length > 0 ? $": {answer.Remark}" : "";
        Remove(
            new RemovalCause(
                "DECLINED",
                $"{answer.Who} is at the bench and says that not everything is in order{said}"
            ),
            Outcome.Stopped,
            answer.Who
        );
    }
}
