using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class SwitchingTests
{
    /// <summary>At the moment the first switching act begins: one element, the proving load.</summary>
    private static HandFedWorld AtFirstSwitch(Predicate<RunCommand> ignores)
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is WaitAct);
        world.Ignores = ignores;
        return world.Until(w => w.Act is SwitchAct);
    }

    private static SwitchElements Sent(HandFedWorld world) => world.Machine.Commands.OfType<SwitchElements>().Last();

    private static ElementSet Wanted(HandFedWorld world) => Assert.IsType<SwitchAct>(world.Act).To;

    [Fact]
    public void Intent_is_durable_before_the_command_that_may_energise_is_given()
    {
        var world = AtFirstSwitch(c => c is WriteSynced { Entry: SwitchIntended });

        world.For(TimeSpan.FromSeconds(1));
        Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements);
        var intent = world.Machine.Entries.OfType<SwitchIntended>().Single();
        world.Feed(new EntrySynced(world.Machine.Now, intent.Command));
        Assert.Equal(intent.Elements, Sent(world).Elements);
    }

    [Fact]
    public void Another_commands_entry_becoming_durable_switches_nothing()
    {
        var world = AtFirstSwitch(c => c is WriteSynced { Entry: SwitchIntended });

        world.Feed(new EntrySynced(world.Machine.Now, world.State.Commands - 1));
        world.Feed(new EntrySynced(world.Machine.Now, world.State.Commands + 1));
        Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements);
    }

    [Fact]
    public void Entry_durable_after_the_load_was_removed_switches_nothing()
    {
        var world = AtFirstSwitch(c => c is WriteSynced { Entry: SwitchIntended });

        world.Feed(new StopAsked(world.Machine.Now, "A. Invented", "smoke"));
        world.Feed(new EntrySynced(world.Machine.Now, world.State.Commands));
        Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements);
    }

    [Fact]
    public void Entry_that_is_never_durable_ends_the_run_within_five_seconds()
    {
        var world = AtFirstSwitch(c => c is WriteSynced { Entry: SwitchIntended });

        var since = world.State.Progress.Since;
        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(5.2));
        Assert.Equal("DISK", world.State.Latched!.Code);
        Assert.Equal(5.1, (world.Machine.Now - since).TotalSeconds, 0.01);
        Assert.Equal(Outcome.Interrupted, world.UntilClosed().Machine.Closed!.Outcome);
    }

    [Fact]
    public void Command_that_never_ends_ends_the_run()
    {
        var world = AtFirstSwitch(c => c is SwitchElements);

        var since = world.State.Progress.Since;
        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(10.2));
        Assert.Equal("LINK", world.State.Latched!.Code);
        Assert.Equal(10.1, (world.Machine.Now - since).TotalSeconds, 0.01);
        Assert.Equal(Outcome.Tripped, world.UntilClosed().Machine.Closed!.Outcome);
    }

    [Theory]
    [InlineData(CommandOutcome.Ok)]
    [InlineData(CommandOutcome.Unknown)]
    public void Result_ok_or_unknown_leads_to_a_read_back_and_never_to_a_second_command(CommandOutcome outcome)
    {
        var world = AtFirstSwitch(c => c is SwitchElements);
        world.Until(_ => world.Machine.Commands.Any(c => c is SwitchElements));
        var wanted = Wanted(world);

        world.Write(wanted);
        world.Feed(new SwitchFinished(world.Machine.Now, Sent(world).Command, new(outcome, "no reply in time")));
        world.Until(w => w.Act is not SwitchAct, TimeSpan.FromSeconds(1));
        Assert.Single(world.Machine.Commands.OfType<SwitchElements>());
        Assert.Equal(wanted, world.State.Elements);
        var entries = world.Machine.Entries.ToList();
        Assert.True(
            entries.FindLastIndex(e => e is SwitchEnded)
                < entries.FindLastIndex(e => e is StatesRead { States.Contacts: var c } && c == wanted)
        );
    }

    [Fact]
    public void Unknown_result_of_a_command_that_was_not_obeyed_ends_the_run_without_a_second_command()
    {
        var world = AtFirstSwitch(c => c is SwitchElements);
        world.Until(_ => world.Machine.Commands.Any(c => c is SwitchElements));

        world.Feed(new SwitchFinished(world.Machine.Now, Sent(world).Command, CommandResult.Unknown("no reply")));
        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(2));
        Assert.Equal("STEP", world.State.Latched!.Code);
        Assert.Single(world.Machine.Commands.OfType<SwitchElements>());
    }

    [Fact]
    public void Refused_command_ends_the_run_at_once()
    {
        var world = AtFirstSwitch(c => c is SwitchElements);
        world.Until(_ => world.Machine.Commands.Any(c => c is SwitchElements));

        var commands = world.Feed(
            new SwitchFinished(world.Machine.Now, Sent(world).Command, CommandResult.Failed("exception 0x04"))
        );
        Assert.Equal("MISMATCH", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        Assert.Contains("exception 0x04", world.State.Latched!.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void End_of_an_earlier_command_is_written_down_and_moves_nothing()
    {
        var world = AtFirstSwitch(c => c is SwitchElements);
        world.Until(_ => world.Machine.Commands.Any(c => c is SwitchElements));

        var commands = world.Feed(
            new SwitchFinished(world.Machine.Now, Sent(world).Command - 1, CommandResult.Failed("late"))
        );
        Assert.IsType<SwitchEnded>(Assert.IsType<Write>(Assert.Single(commands)).Entry);
        Assert.Null(world.State.Latched);
    }

    [Fact]
    public void States_asked_for_before_the_command_ended_are_no_read_back()
    {
        var world = AtFirstSwitch(c => c is ReadStates);
        var wanted = Wanted(world);
        world.Until(w => w.State.Progress.Stage == ActStage.ReadingBack);
        var old = world.State.StatesAsked;
        Assert.True(world.State.AreStatesWanted);

        var again = world.Feed(new StatesArrived(world.Machine.Now, old, world.States()));
        Assert.IsType<SwitchAct>(world.Act);
        Assert.Equal(old + 1, Assert.IsType<ReadStates>(again[^1]).Number);
        world.Feed(new StatesArrived(world.Machine.Now, world.State.StatesAsked, world.States()));
        Assert.Equal(wanted, world.State.Elements);
    }

    [Fact]
    public void Contact_that_does_not_close_is_looked_at_twice_and_then_named()
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is WaitAct);
        world.Dead = new ElementSet(0xFF);

        world.Until(w => w.State.Latched is not null);
        var element = world.Machine.Entries.OfType<SwitchIntended>().Single().Elements;
        Assert.Equal("STEP", world.State.Latched!.Code);
        Assert.StartsWith($"Element {element} did not close", world.State.Latched.Detail, StringComparison.Ordinal);
        var looks = world.Machine.Entries.SkipWhile(e => e is not SwitchEnded).OfType<StatesRead>();
        Assert.InRange(looks.Count(), 2, 3);
        world.UntilClosed();
        Assert.Equal((Outcome.Failed, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Element_stuck_closed_is_named_and_the_run_says_that_off_is_not_confirmed()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        var stuck = ElementSet.Of(world.Contacts.Indices()[0]);
        world.Welded = stuck;

        world.UntilClosed();
        Assert.Equal("STUCK", world.Machine.Closed!.Code);
        Assert.StartsWith($"ELEMENT {stuck} STILL ON", world.Machine.Closed.Detail, StringComparison.Ordinal);
        Assert.Equal(BankEnd.OffNotConfirmed, world.Machine.Closed.Bank);
        var off = world.Machine.Entries.OfType<LoadOff>().Last();
        Assert.False(off.IsConfirmed);
        Assert.Contains($"ELEMENT {stuck} STILL ON", off.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Contact_that_opens_by_itself_under_load_ends_the_run_and_is_named()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        var lost = ElementSet.Of(world.Contacts.Indices()[0]);
        world.Contacts = world.Contacts.Except(lost);

        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(1));
        Assert.True(world.State.Latched!.Code is "STEP" or "CONDUCTANCE", world.State.Latched.Detail);
    }

    [Fact]
    public void Contact_beyond_the_set_left_and_the_set_wanted_ends_the_run_before_the_read_back()
    {
        var world = AtFirstSwitch(c => c is SwitchElements);
        world.Until(_ => world.Machine.Commands.Any(c => c is SwitchElements));
        world.Contacts = ElementSet.Of(7);

        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(1));
        Assert.Equal("STUCK", world.State.Latched!.Code);
        Assert.Contains($"ELEMENT {ElementSet.Of(7)}", world.State.Latched.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Coils_that_differ_from_what_was_sent_end_the_run_though_the_contacts_agree()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        world.Coils = ElementSet.None;

        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(1));
        Assert.Equal("MISMATCH", world.State.Latched!.Code);
    }

    [Fact]
    public void Two_missed_read_backs_are_borne_and_the_third_in_a_row_ends_the_run()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        var missed = 0;
        world.SaysOfBank = s => missed++ < 2 ? s with { Outcome = CommandOutcome.Unknown, Detail = "no reply" } : s;
        // Asked again at once, not with the next look half a second later.
        world.Until(_ => missed > 0, TimeSpan.FromSeconds(2));
        world.Until(_ => missed > 2, RunMachine.ScanPeriod);
        world.For(TimeSpan.FromSeconds(0.5));
        Assert.Null(world.State.Latched);

        world.SaysOfBank = s => s with { Outcome = CommandOutcome.Unknown, Detail = "no reply" };
        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(2));
        Assert.Equal("LINK", world.State.Latched!.Code);
        Assert.Contains("3 times in a row; 2 are allowed", world.State.Latched.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Bank_that_answers_nothing_about_its_states_ends_the_run()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilMeasuringUnderLoad();
        world.Ignores = c => c is ReadStates;

        var read = world.State.StatesReadAt;
        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(6));
        Assert.Equal("LINK", world.State.Latched!.Code);
        Assert.Equal(5.1, (world.Machine.Now - read).TotalSeconds, 0.01);
        Assert.StartsWith(
            "The bank said nothing about its states for 5.1 s; the limit is 5 s.",
            world.State.Latched.Detail,
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData("ESTOP")]
    [InlineData("TEMP")]
    [InlineData("FAN")]
    public void Bank_that_asks_to_go_off_is_heard_within_half_a_second(string code)
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        world.SaysOfBank = s =>
            code switch
            {
                "ESTOP" => s with { IsStopHealthy = false },
                "TEMP" => s with { IsOverTemperature = true },
                _ => s with { HasAirFlow = false },
            };
        var from = world.Machine.Now;

        world.Until(w => w.State.Latched is not null);
        Assert.Equal(code, world.State.Latched!.Code);
        Assert.InRange(world.Machine.Now - from, TimeSpan.Zero, TimeSpan.FromSeconds(0.5));
        Assert.DoesNotContain(
            world.Machine.Commands.SkipWhile(c => c is not RemoveLoadNow),
            c => c is SetFan { IsOn: false }
        );
    }

    [Fact]
    public void Every_switching_of_a_run_moves_one_element_except_the_last_of_a_dead_output()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilClosed();
        var present = ElementSet.None;
        foreach (var (_, state, commands) in world.Machine.Turns)
        {
            foreach (var to in commands.OfType<SwitchElements>())
            {
                var moved = new ElementSet(present.Mask ^ to.Elements.Mask).Count;
                Assert.True(
                    moved == 1 || (to.Elements.IsEmpty && !state.IsOutputEnabled),
                    $"{present} to {to.Elements}"
                );
                present = to.Elements;
            }
        }
    }

    [Fact]
    public void Entry_told_to_be_durable_twice_switches_once()
    {
        var world = AtFirstSwitch(c => c is WriteSynced { Entry: SwitchIntended });
        var intent = world.Machine.Entries.OfType<SwitchIntended>().Single();
        world.Feed(new EntrySynced(world.Machine.Now, intent.Command));
        Assert.Empty(world.Feed(new EntrySynced(world.Machine.Now, intent.Command)));
        Assert.Single(world.Machine.Commands.OfType<SwitchElements>());
    }

    [Fact]
    public void States_whose_number_is_the_last_one_asked_for_before_the_read_back_prove_nothing()
    {
        var world = AtFirstSwitch(_ => false);
        world.Until(w => w.State.Progress.Stage == ActStage.ReadingBack);
        world.Ignores = c => c is ReadStates;
        var act = world.Act;
        world.Feed(new StatesArrived(world.Machine.Now, world.State.Progress.StatesAfter, world.States()));
        Assert.Same(act, world.Act);
        world.Feed(new StatesArrived(world.Machine.Now, world.State.Progress.StatesAfter + 1, world.States()));
        Assert.NotSame(act, world.Act);
    }

    [Fact]
    public void A_wait_lasts_its_time_to_the_scan()
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is WaitAct);
        var (since, wait) = (world.Machine.Now, (WaitAct)world.Act!);
        world.Until(w => w.Act is not WaitAct);
        Assert.Equal(wait.For, world.Machine.Now - since);
    }

    [Fact]
    public void Commands_are_numbered_from_one_upwards()
    {
        var world = new HandFedWorld(SomePlan.WithRelay).UntilClosed();
        var numbers = world
            .Machine.Entries.Select(e =>
                e switch
                {
                    SwitchIntended s => s.Command,
                    OutputIntended o => o.Command,
                    _ => 0,
                }
            )
            .Where(n => n != 0)
            .ToArray();
        Assert.Equal(numbers.Order(), numbers);
        Assert.Equal(numbers.Distinct(), numbers);
        Assert.Equal(1, numbers[0]);
    }
}
