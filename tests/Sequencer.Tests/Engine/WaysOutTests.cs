using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using static LoadTest.SequencerTests.Engine.RemovalTests;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Ways out that are crooked: nobody left to ask, causes that repeat, contacts and currents that come again.</summary>
public sealed class WaysOutTests
{
    [Fact]
    public void Person_lost_after_off_was_confirmed_is_not_waited_for()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask;
        Stopped(world).Until(w => w.State.Removal!.IsConfirmed == true);
        world.Feed(new OperatorLost(world.Machine.Now, world.State.OpenQuestion!.Value, "the line is lost"));
        Assert.Equal((Outcome.Stopped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
        Assert.Contains(
            world.Machine.Entries.OfType<Remarked>(),
            r => r.Text == "Later cause OPERATOR: Nobody answers any more: the line is lost"
        );
    }

    [Fact]
    public void Person_lost_before_off_was_confirmed_is_asked_nothing_more_and_all_off_goes_on_for_half_a_minute()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask or RemoveLoadNow;
        Stopped(world).Until(w => w.State.OpenQuestion is not null);
        var asked = world.Machine.Entries.OfType<Asked>().Count();
        world.Feed(new OperatorLost(world.Machine.Now, world.State.OpenQuestion!.Value - 1, "another question"));
        Assert.NotNull(world.State.OpenQuestion);
        world.Feed(new OperatorLost(world.Machine.Now, world.State.OpenQuestion!.Value, "the line is lost"));
        Assert.Null(world.State.OpenQuestion);
        world.UntilClosed(TimeSpan.FromMinutes(1));
        Assert.Equal(asked, world.Machine.Entries.OfType<Asked>().Count());
        Assert.Equal(BankEnd.OffNotConfirmed, world.Machine.Closed!.Bank);
        var removed = world.Machine.Entries.OfType<LoadRemoved>().Single();
        Assert.InRange(world.Machine.Closed.At - removed.At, TimeSpan.FromSeconds(35), TimeSpan.FromSeconds(35.2));
    }

    [Fact]
    public void Off_found_with_nobody_left_to_ask_closes_the_run_as_off()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask or RemoveLoadNow;
        Stopped(world).Until(w => w.State.OpenQuestion is not null);
        world.Feed(new OperatorLost(world.Machine.Now, world.State.OpenQuestion!.Value, "the line is lost"));
        // Found off now, which closes the run as nobody is there to acknowledge anything.
        world.Ignores = c => c is Ask;
        world.UntilClosed(TimeSpan.FromSeconds(2));
        Assert.Equal(BankEnd.Off, world.Machine.Closed!.Bank);
    }

    [Fact]
    public void Same_later_cause_of_readings_is_remarked_once_and_another_beside_it()
    {
        var world = Measuring();
        world.Ignores = c => c is RemoveLoadNow or Ask;
        Stopped(world);
        var now = world.Machine.Now;
        var index = world.Plan.Bench.Channels.Index().First(c => c.Item.Role == ChannelRole.BankAmperes).Index;
        for (var k = 0; k < 3; k++)
        {
            world.Feed(new ReadingsArrived(now, [new Reading(index, 346 + k, IndicationFlag.Good, now)]));
            world.Feed(new ReadingsArrived(now, [new Reading(index, 0, IndicationFlag.Overload, now)]));
        }
        string[] codes =
        [
            .. world
                .Machine.Entries.OfType<Remarked>()
                .Where(r => r.Text.StartsWith("Later cause ", StringComparison.Ordinal))
                .Select(r => r.Text.Split(' ', ':')[2]),
        ];
        Assert.Equal(["AMPERES", "OVERLOAD"], codes);
    }

    [Fact]
    public void Cause_that_removed_the_load_is_no_later_cause_when_readings_repeat_it()
    {
        var world = Measuring();
        world.Ignores = c => c is RemoveLoadNow or Ask;
        var now = world.Machine.Now;
        var index = world.Plan.Bench.Channels.Index().First(c => c.Item.Role == ChannelRole.BankAmperes).Index;
        for (var k = 0; k < 3; k++)
            world.Feed(new ReadingsArrived(now, [new Reading(index, 346 + k, IndicationFlag.Good, now)]));
        Assert.Equal("AMPERES", world.State.Latched!.Code);
        Assert.DoesNotContain(
            world.Machine.Entries.OfType<Remarked>(),
            r => r.Text.StartsWith("Later cause ", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Load_that_should_be_off_after_unloading_and_is_not_ends_the_run_after_fifteen_seconds()
    {
        var world = Measuring();
        world.Until(w => w.Act is ConfirmOffAct);
        var since = world.Machine.Now;
        world.Reads = (channel, value) =>
            (channel.Role == ChannelRole.ReferenceShuntDrop ? 0.0003 : value, IndicationFlag.Good);
        world.Until(w => w.State.Latched is not null);
        Assert.Equal("MISMATCH", world.State.Latched!.Code);
        Assert.StartsWith(
            "The load should be off, but after 15 s contacts and current do not both say so: ",
            world.State.Latched.Detail,
            StringComparison.Ordinal
        );
        Assert.InRange(
            world.Machine.Now - since,
            TimeSpan.FromSeconds(15) + RunMachine.ScanPeriod,
            TimeSpan.FromSeconds(15) + RunMachine.ScanPeriod
        );
    }

    [Fact]
    public void Contact_found_closed_when_off_is_to_be_confirmed_confirms_nothing()
    {
        var world = Measuring();
        world.Until(w => w.Act is ConfirmOffAct);
        world.Contacts = ElementSet.Of(2);
        var commands = world.Feed(
            new StatesArrived(
                world.Machine.Now,
                world.State.StatesAsked + 1,
                world.States() with
                {
                    Contacts = ElementSet.Of(2),
                }
            )
        );
        Assert.Equal("STUCK", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        Assert.DoesNotContain(commands, c => c is Write { Entry: LoadOff { IsConfirmed: true } });
        Assert.DoesNotContain(commands, c => c is Write { Entry: StepEnded });
    }

    [Fact]
    public void States_are_read_on_at_their_own_pace_while_the_person_goes_to_the_engine()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask;
        Stopped(world).Until(w => w.State.Removal!.IsConfirmed == true);
        var turns = world.Machine.Turns.Count;
        world.For(TimeSpan.FromSeconds(10));
        var reads = world.Machine.Turns.Skip(turns).SelectMany(t => t.Commands).OfType<ReadStates>().Count();
        // Every 400 ms, which are five scans with the reply.
        Assert.InRange(reads, 19, 26);
    }

    [Fact]
    public void A_no_is_asked_again_once_and_not_with_every_scan()
    {
        var world = Measuring();
        var noes = 0;
        world.Says = q => new Answer(q.Action != HandAction.StopEngine || noes++ > 0, null, "", "A. Invented");
        Stopped(world).Until(w => noes == 1);
        world.Ignores = c => c is Ask;
        var asked = world.Machine.Entries.OfType<Asked>().Count();
        world.For(TimeSpan.FromSeconds(5));
        Assert.Equal(asked + 1, world.Machine.Entries.OfType<Asked>().Count());
    }

    [Fact]
    public void Warning_that_is_open_when_the_current_comes_again_is_withdrawn_for_a_new_one()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask;
        Stopped(world).Until(w => w.State.OpenQuestion is not null);
        var first = world.State.OpenQuestion;
        var turns = world.Machine.Turns.Count;
        world.Welded = world.Contacts = ElementSet.Of(3);
        world.Until(w => w.State.Removal!.IsConfirmed == false, TimeSpan.FromSeconds(2));
        Assert.Single(world.Machine.Turns.Skip(turns).SelectMany(t => t.Commands).OfType<WithdrawQuestion>());
        Assert.Contains(
            world.Machine.Turns.Skip(turns).SelectMany(t => t.Commands),
            c => c is Write { Entry: LoadOff { IsConfirmed: false } }
        );
        Assert.True(world.State.OpenQuestion > first);
        var asked = world.Machine.Entries.OfType<Asked>().Last().Question;
        Assert.Equal(QuestionKind.Acknowledge, asked.Kind);
        Assert.Contains(" Found: ", asked.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void Readings_that_come_before_anything_is_scanned_trip_nothing()
    {
        var world = new HandFedWorld(SomePlan.Verification) { Ignores = c => c is Ask };
        world.Feed(new RunBegan(TimeSpan.Zero));
        Assert.False(world.State.IsScanning);
        var commands = world.Feed(
            new ReadingsArrived(TimeSpan.Zero, [new Reading(0, 0, IndicationFlag.Overload, TimeSpan.Zero)])
        );
        Assert.Empty(commands);
        Assert.Null(world.State.Latched);
    }

    [Fact]
    public void Unloading_says_that_the_load_is_off_once_it_was_found_so()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilClosed();
        var off = world.Machine.Entries.OfType<LoadOff>().ToArray();
        Assert.NotEmpty(off);
        Assert.All(off, o => Assert.True(o.IsConfirmed));
        Assert.All(off, o => Assert.StartsWith("all contacts read open ", o.Words, StringComparison.Ordinal));
    }

    [Fact]
    public void Plan_that_ends_under_load_is_unloaded_and_its_engine_stopped_all_the_same()
    {
        var plan = SomePlan.Short;
        var cut = plan with { Steps = plan.Steps.RemoveAt(plan.Steps.Length - 1) };
        Assert.IsNotType<LoadTest.Sequencer.Planning.CoolDownStepPlan>(cut.Steps[^1]);
        var world = new HandFedWorld(cut).UntilClosed();
        Assert.Equal((Outcome.Complete, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
        Assert.True(world.Contacts.IsEmpty);
        Assert.False(world.IsEngineRunning);
    }

    [Fact]
    public void Run_that_ends_before_anything_was_switched_on_says_that_the_bank_never_was()
    {
        var world = new HandFedWorld(SomePlan.Short)
        {
            Says = q => new Answer(q.Action != HandAction.StartEngine, null, "", "A. Invented"),
        }.UntilClosed();
        Assert.Equal(BankEnd.NeverEnergised, world.Machine.Closed!.Bank);
        Assert.Equal("DECLINED", world.Machine.Closed.Code);
    }

    [Fact]
    public void Limit_that_is_crossed_before_the_gate_is_passed_is_a_trip_all_the_same()
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is ExpectVoltsAct);
        Assert.False(world.State.IsGatePassed);
        world.Reads = (channel, value) => (channel.Role is ChannelRole.StudVolts ? 200 : value, IndicationFlag.Good);
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, "VOLTS"), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
    }
}
