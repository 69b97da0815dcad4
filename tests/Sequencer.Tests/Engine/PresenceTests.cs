using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class PresenceTests
{
    private static readonly TimeSpan Grace = TimeSpan.FromSeconds(60);

    private static bool IsPresence(Question question) =>
        question.Text.StartsWith("Are you at the bench", StringComparison.Ordinal);

    private static RunPlan Plan(double minutes = 10) =>
        SomePlan.Verification with
        {
            Profile = SomePlan.Verification.Profile with { PresenceEvery = TimeSpan.FromMinutes(minutes) },
            Steps =
            [
                .. SomePlan.Verification.Steps.Select(s =>
                    s is PointStep p && p.Hold > TimeSpan.Zero ? p with { Hold = TimeSpan.FromMinutes(3.5) } : s
                ),
            ],
        };

    private static HandFedWorld Holding() =>
        new HandFedWorld(Plan(1)) { IsAttended = true }.Until(w =>
            w.Act is SettleAct && w.State.Progress.Stage == ActStage.Holding && w.State.Progress.Due > w.Machine.Now
        );

    private static HandFedWorld Attended(RunPlan plan) =>
        new HandFedWorld(plan) { IsAttended = true }.UntilMeasuringUnderLoad();

    /// <summary>Holds the machine in one loaded state: nothing moves it on but time, and only presence is asked.</summary>
    private static HandFedWorld Idle(HandFedWorld world, Predicate<Question> isAnswered)
    {
        var ignored = world.Ignores;
        world.Ignores = c => ignored(c) || (c is Ask ask && !isAnswered(ask.Question));
        return world;
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void Nobody_answering_warns_after_half_a_minute_more_and_removes_the_load_after_a_whole_one(double minutes)
    {
        var world = Idle(Attended(Plan(minutes)), _ => false);
        var heard = world.State.HeardAt;

        world.Until(w => w.State.Latched is not null);
        Assert.Equal("UNATTENDED", world.State.Latched!.Code);
        Assert.StartsWith(
            $"Nobody has answered for {minutes + 1}.0 min; {minutes} min and 60 s are allowed",
            world.State.Latched.Detail,
            StringComparison.Ordinal
        );
        var every = TimeSpan.FromMinutes(minutes);
        Assert.Equal(every + Grace, world.Machine.Now - heard);
        var warning = world
            .Machine.Entries.OfType<Remarked>()
            .Single(r => r.Text.StartsWith("NOBODY ANSWERS", StringComparison.Ordinal));
        Assert.Equal(every + Grace / 2, warning.At - heard);
        Assert.Equal(
            $"NOBODY ANSWERS. The load is removed in {(Grace - (warning.At - heard - every)).TotalSeconds:0} s unless the open question is answered.",
            warning.Text
        );
        Assert.Equal("nobody", world.Machine.Entries.OfType<Stopped>().Single().Who);
        world.Ignores = _ => false;
        world.Answer(
            new Question(world.State.OpenQuestion ?? 0, QuestionKind.Do, HandAction.StopEngine, "", null, null, default)
        );
        world.UntilClosed();
        Assert.Equal((Outcome.Stopped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Presence_confirmed_in_time_never_ends_a_run_and_is_in_the_journal()
    {
        var world = new HandFedWorld(Plan(1)) { IsAttended = true }.UntilClosed();

        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
        Assert.InRange(world.Machine.Entries.OfType<Asked>().Count(a => IsPresence(a.Question)), 3, 6);
        var numbers = world.Machine.Entries.OfType<Asked>().Select(a => a.Question.Number).ToArray();
        Assert.Equal(Enumerable.Range(1, numbers.Length), numbers);
    }

    [Fact]
    public void A_long_step_asks_for_presence_by_itself_at_the_interval()
    {
        var world = Holding();
        world.Until(w => w.State.PresenceQuestion is not null || w.State.Latched is not null);
        Assert.Null(world.State.Latched);
        var asked = world.Machine.Entries.OfType<Asked>().Last(a => IsPresence(a.Question));
        Assert.Equal(60, (asked.At - world.State.HeardAt).TotalSeconds, 0.01);
    }

    [Theory]
    [InlineData("smoke", "not everything is in order: smoke")]
    [InlineData("", "not everything is in order")]
    public void A_no_to_presence_is_a_stop(string remark, string said)
    {
        var world = Holding();
        world.Says = q => new Answer(!IsPresence(q), q.Kind == QuestionKind.Number ? 8.8 : null, remark, "A. Invented");
        world.Until(w => w.State.Latched is not null);
        Assert.Equal("DECLINED", world.State.Latched!.Code);
        Assert.EndsWith(said, world.State.Latched.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void With_the_output_disabled_and_the_bank_open_nobody_has_to_be_there()
    {
        var world = new HandFedWorld(Plan(1)) { IsAttended = true };
        world.Ignores = c => c is Ask { Question.Action: HandAction.StartEngine };
        world.Until(w => w.Act is AskAct { Action: HandAction.StartEngine });
        world.For(TimeSpan.FromMinutes(3));

        Assert.Null(world.State.Latched);
        Assert.DoesNotContain(world.Machine.Entries.OfType<Asked>(), a => IsPresence(a.Question));
    }

    [Fact]
    public void Question_of_presence_nobody_has_answered_yet_is_withdrawn_before_another_is_asked()
    {
        // The hold ends, and the next thing for a person to do comes, within the minute the question of presence may wait.
        var plan = Plan(1);
        plan = plan with
        {
            Steps =
            [
                .. plan.Steps.Select(s =>
                    s is PointStep p && p.Hold > TimeSpan.Zero ? p with { Hold = TimeSpan.FromSeconds(65) } : s
                ),
            ],
        };
        var world = Idle(Attended(plan), q => !IsPresence(q));
        world.Until(w => w.State.PresenceQuestion is not null);
        var turns = world.Machine.Turns.Count;
        world.Until(w => w.State.PresenceQuestion is null);
        RunCommand[] seen = [.. world.Machine.Turns.Skip(turns).SelectMany(t => t.Commands)];
        Assert.IsType<WithdrawQuestion>(seen.First(c => c is WithdrawQuestion or Ask));
        Assert.Null(world.State.Latched);
        Assert.False(IsPresence(Assert.Single(seen.OfType<Ask>()).Question));
        Assert.Single(seen.OfType<WithdrawQuestion>());
    }

    [Fact]
    public void With_the_output_enabled_somebody_has_to_be_there_though_no_element_is_on()
    {
        var world = new HandFedWorld(Plan(1)) { IsAttended = true };
        // The first question put while the output is enabled and no element is on stays open.
        world.Ignores = c => c is Ask && IsBare(world.State);
        world.Until(w => w.State.Latched is not null, TimeSpan.FromMinutes(20));
        Assert.Equal("UNATTENDED", world.State.Latched!.Code);
        var since = world.Machine.Now - TimeSpan.FromMinutes(1.5);
        Assert.All(world.Machine.Turns.SkipLast(1).Where(t => t.Input.At > since), t => Assert.True(IsBare(t.State)));

        static bool IsBare(RunState state) => state.IsOutputEnabled && state.Elements.IsEmpty;
    }

    [Fact]
    public void A_simulated_bench_is_not_attended()
    {
        var world = Idle(new HandFedWorld(Plan(1)).UntilMeasuringUnderLoad(), _ => false);
        world.For(TimeSpan.FromMinutes(3));

        Assert.Null(world.State.Latched);
        Assert.DoesNotContain(world.Machine.Entries.OfType<Asked>(), a => IsPresence(a.Question));
    }
}
