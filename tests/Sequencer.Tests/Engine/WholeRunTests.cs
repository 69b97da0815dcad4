using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class WholeRunTests
{
    public static TheoryData<string, string> ShippedPlans =>
        new()
        {
            { "output-verification", "demo" },
            { "output-verification", "demo-modbus-tcp" },
            { "return-acceptance", "demo" },
            { "short-check", "demo" },
            { "short-check", "demo-modbus-tcp" },
        };

    [Theory]
    [MemberData(nameof(ShippedPlans))]
    public void Shipped_plan_runs_to_its_end_and_the_bank_is_found_off(string profile, string bench)
    {
        var world = new HandFedWorld(SomePlan.Shipped(profile, bench)).UntilClosed();

        Assert.Equal((Outcome.Complete, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
        Assert.True(world.Contacts.IsEmpty);
        Assert.False(world.IsEngineRunning);
    }

    [Theory]
    [MemberData(nameof(ShippedPlans))]
    public void Every_point_is_measured_with_the_elements_and_the_setting_the_planner_chose(
        string profile,
        string bench
    )
    {
        var plan = SomePlan.Shipped(profile, bench);
        Measured(new HandFedWorld(plan), plan);
    }

    [Theory]
    [InlineData("constant current")]
    [InlineData("constant voltage")]
    [InlineData("drooping")]
    public void Planner_and_machine_agree_on_every_characteristic(string mode)
    {
        var plan = SomePlan.Full(mode);
        Assert.True(plan.IsRunnable);
        Measured(new HandFedWorld(plan), plan);
    }

    private static void Measured(HandFedWorld world, RunPlan plan)
    {
        var left = new Queue<PointStep>(plan.Steps.OfType<PointStep>());
        while (left.TryDequeue(out var point))
        {
            world.Until(w => w.Act is MeasureAct measure && measure.Point == point);
            Assert.Equal(point.State.Elements, world.Contacts);
            Assert.Equal(point.State.Elements, world.State.Elements);
            Assert.Equal(point.State.Setting.Value, world.Setting);
        }
        world.UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
        Assert.Equal(
            plan.Steps.OfType<PointStep>().Select(p => p.Number),
            world.Machine.Entries.OfType<PointMeasured>().Select(p => p.Step)
        );
    }

    [Fact]
    public void Run_ends_with_control_at_minimum_then_output_disabled_then_current_gone_then_elements_off()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilClosed();
        var entries = world.Machine.Entries.ToList();
        int Last(Func<JournalEntry, bool> what) => entries.FindLastIndex(e => what(e));
        int Asked(HandAction action) => Last(e => e is Asked asked && asked.Question.Action == action);

        var off = Last(e => e is SwitchIntended { Elements.IsEmpty: true });
        Assert.True(Asked(HandAction.SetControl) < Asked(HandAction.DisableOutput));
        Assert.True(Asked(HandAction.DisableOutput) < off);
        Assert.True(off < Last(e => e is LoadOff { IsConfirmed: true }));
        Assert.True(Last(e => e is LoadOff) < Asked(HandAction.StopEngine));
        var scan = entries.Take(off).OfType<Scanned>().Last().Readings;
        var drop = scan.Last(r => world.Plan.Bench.Channels[r.Channel].Name == "reference drop");
        Assert.Equal(0, drop.Value);
    }

    [Fact]
    public void Steps_are_journaled_in_the_order_of_the_plan_each_begun_and_ended()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilClosed();
        var numbers = SomePlan.Verification.Steps.Select(s => s.Number).ToArray();

        Assert.Equal(numbers, world.Machine.Entries.OfType<StepStarted>().Select(s => s.Step));
        Assert.Equal(numbers, world.Machine.Entries.OfType<StepEnded>().Select(s => s.Step));
    }

    [Fact]
    public void Nothing_is_asked_switched_or_written_after_the_last_entry()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilClosed();

        Assert.IsType<Finish>(world.Machine.Turns[^1].Commands[^1]);
        foreach (
            var input in new RunInput[]
            {
                new Ticked(world.Machine.Now),
                new StopAsked(world.Machine.Now, "anyone", "late"),
                new LoadGone(world.Machine.Now, new RemovalCause("SIGNAL", "late")),
                new RunBroke(world.Machine.Now, "DISK", "late"),
                new RunBegan(world.Machine.Now),
            }
        )
            Assert.Empty(world.Machine.Feed(input));
    }

    [Fact]
    public void Feeding_the_inputs_of_a_run_again_gives_its_states_and_commands_to_the_letter()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilClosed();
        var again = new HandFed(SomePlan.Shipped("output-verification"));

        foreach (var (input, state, commands) in world.Machine.Turns)
        {
            var repeated = again.Feed(input);
            Assert.Equal(Letter.Of(commands), Letter.Of(repeated));
            Assert.Equal((state.Phase, state.Step, state.Act), (again.State.Phase, again.State.Step, again.State.Act));
        }
        Assert.Equal(Letter.Of(world.State), Letter.Of(again.State));
    }

    [Fact]
    public void Element_set_of_the_state_is_what_the_contacts_last_confirmed()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();

        Assert.Equal(world.Contacts, world.State.Elements);
        Assert.NotEqual(ElementSet.None, world.State.Elements);
    }
}
