using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class RemovalTests
{
    internal static HandFedWorld Measuring() => new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();

    internal static HandFedWorld Stopped(HandFedWorld world)
    {
        world.Feed(new StopAsked(world.Machine.Now, "A. Invented", "smell of oil"));
        return world;
    }

    internal static IEnumerable<Question> AskedSinceRemoval(HandFedWorld world) =>
        world.Machine.Entries.SkipWhile(e => e is not LoadRemoved).OfType<Asked>().Select(a => a.Question);

    [Fact]
    public void Person_who_stops_is_named_and_the_bank_ends_off()
    {
        var world = Stopped(Measuring()).UntilClosed();

        Assert.False(world.IsScanned);
        Assert.Equal(
            world.Machine.Entries.OfType<Asked>().Select(a => a.Question.Number),
            world.Machine.Entries.OfType<Answered>().Select(a => a.Question)
        );
        var asked = Assert.Single(AskedSinceRemoval(world));
        Assert.Equal((QuestionKind.Do, HandAction.StopEngine), (asked.Kind, asked.Action));
        Assert.Equal(
            "Load removed: Stopped by A. Invented: smell of oil The studs are still live: switch the weld output off, stop the engine, and measure the volts at the studs before you touch them.",
            asked.Text
        );
        var closed = world.Machine.Closed!;
        Assert.Equal((Outcome.Stopped, "STOP", BankEnd.Off), (closed.Outcome, closed.Code, closed.Bank));
        var stopped = world.Machine.Entries.OfType<Stopped>().Single();
        Assert.Equal("A. Invented", stopped.Who);
        Assert.Contains("smell of oil", stopped.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Stop_is_taken_at_every_tick_of_a_run_and_the_bank_ends_off_or_was_never_on()
    {
        var whole = new HandFedWorld(SomePlan.Short).UntilClosed();
        var ticks = whole.Machine.Turns.Count(t => t.Input is Ticked);
        for (var k = 1; k < ticks; k++)
        {
            var world = new HandFedWorld(SomePlan.Short);
            world.Feed(new RunBegan(TimeSpan.Zero));
            world.For(k * RunMachine.ScanPeriod);
            Stopped(world).UntilClosed();
            Assert.True(world.Contacts.IsEmpty);
            Assert.Equal(
                world.Machine.Commands.OfType<SwitchElements>().Any() ? BankEnd.Off : BankEnd.NeverEnergised,
                world.Machine.Closed!.Bank
            );
        }
    }

    [Fact]
    public void First_cause_never_changes_and_what_comes_later_is_remarked()
    {
        var world = Stopped(Measuring());

        world.Feed(new StopAsked(world.Machine.Now, "B. Invented", "me too"));
        world.Feed(new LoadGone(world.Machine.Now, new RemovalCause("SIGNAL", "The program was told to end.")));
        world.UntilClosed();
        Assert.Equal("STOP", world.Machine.Closed!.Code);
        var remarks = world.Machine.Entries.OfType<Remarked>().Select(r => r.Text).ToArray();
        Assert.Contains(remarks, r => r.Contains("B. Invented", StringComparison.Ordinal));
        Assert.Contains(remarks, r => r.StartsWith("Later cause SIGNAL", StringComparison.Ordinal));
    }

    [Fact]
    public void Word_of_its_own_removal_is_no_later_cause()
    {
        var world = Stopped(Measuring());

        Assert.Empty(world.Feed(new LoadGone(world.Machine.Now, world.State.Latched!)));
    }

    [Fact]
    public void All_off_is_repeated_every_tick_until_it_is_confirmed()
    {
        var world = Measuring();
        world.Ignores = c => c is RemoveLoadNow;
        Stopped(world);

        world.For(TimeSpan.FromSeconds(3));
        Assert.InRange(world.Machine.Commands.OfType<RemoveLoadNow>().Count(), 30, 32);
        world.Ignores = _ => false;
        world.Until(w => w.State.Removal!.IsConfirmed == true, TimeSpan.FromSeconds(1));
        var sent = world.Machine.Commands.OfType<RemoveLoadNow>().Count();
        world.Says = q => new Answer(false, null, "", "A. Invented");
        world.For(TimeSpan.FromSeconds(3));
        Assert.Equal(sent, world.Machine.Commands.OfType<RemoveLoadNow>().Count());
    }

    [Fact]
    public void Off_is_said_only_when_contacts_coils_and_current_agree()
    {
        var world = Measuring();
        world.Ignores = c => c is RemoveLoadNow or Ask;
        Stopped(world);
        void Expect(bool? confirmed)
        {
            world.For(TimeSpan.FromSeconds(0.5));
            Assert.Equal(confirmed, world.State.Removal!.IsConfirmed);
        }

        Expect(null);
        world.IsOutputOn = false;
        Expect(null);
        world.Contacts = ElementSet.None;
        Expect(null);
        world.Coils = ElementSet.None;
        Expect(true);
    }

    [Fact]
    public void Contacts_that_say_open_while_current_flows_are_not_believed()
    {
        var world = Measuring();
        var amperes = 50.0;
        world.Reads = (channel, value) => (Feigned(world, channel, amperes) ?? value, IndicationFlag.Good);
        Stopped(world);

        world.For(TimeSpan.FromSeconds(6));
        Assert.False(world.State.Removal!.IsConfirmed);
        Assert.Contains(
            AskedSinceRemoval(world),
            q => q.Text.StartsWith("LOAD OFF NOT CONFIRMED", StringComparison.Ordinal)
        );
        Assert.Equal(BankEnd.OffNotConfirmed, world.UntilClosed().Machine.Closed!.Bank);
    }

    private static double? Feigned(HandFedWorld world, Channel channel, double amperes) =>
        channel.Role switch
        {
            ChannelRole.ReferenceShuntDrop => amperes * 0.05 / 500,
            ChannelRole.BankAmperes => amperes,
            ChannelRole.UnitShuntDrop => amperes * world.Plan.Nameplate.Shunt.RatedRatio,
            _ => null,
        };

    [Theory]
    [InlineData(ChannelRole.ReferenceShuntDrop)]
    [InlineData(ChannelRole.UnitShuntDrop)]
    [InlineData(ChannelRole.BankAmperes)]
    public void One_instrument_that_still_shows_current_is_enough_to_doubt(ChannelRole role)
    {
        var world = Measuring();
        world.Reads = (channel, value) =>
            (channel.Role == role ? Feigned(world, channel, 8.75)!.Value : value, IndicationFlag.Good);
        Stopped(world);

        world.For(TimeSpan.FromSeconds(6));
        Assert.False(world.State.Removal!.IsConfirmed);
    }

    [Fact]
    public void With_the_reference_meter_silent_the_units_shunt_bears_witness_once_it_has_shown_current()
    {
        var world = Measuring();
        world.Silent.Add("dmm-2");

        world.UntilClosed();
        Assert.Equal(("SILENT", BankEnd.Off), (world.Machine.Closed!.Code, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Unit_shunt_that_never_showed_current_bears_no_witness_alone()
    {
        var world = new HandFedWorld(SomePlan.Short);
        world.Reads = (channel, value) => (channel.Role == ChannelRole.UnitShuntDrop ? 0 : value, IndicationFlag.Good);
        world.UntilMeasuringUnderLoad();
        world.Silent.Add("dmm-2");

        world.UntilClosed();
        Assert.Equal(("SILENT", BankEnd.OffNotConfirmed), (world.Machine.Closed!.Code, world.Machine.Closed.Bank));
    }

    [Fact]
    public void States_asked_for_before_the_removal_confirm_nothing()
    {
        var world = Measuring();
        world.Ignores = c => c is ReadStates;
        world.Until(w => w.State.AreStatesWanted);
        var old = world.State.StatesAsked;
        Stopped(world);
        world.For(TimeSpan.FromSeconds(0.3));

        world.Feed(new StatesArrived(world.Machine.Now, old, world.States()));
        Assert.Null(world.State.Removal!.IsConfirmed);
        world.Feed(new StatesArrived(world.Machine.Now, world.State.StatesAsked, world.States()));
        Assert.True(world.State.Removal.IsConfirmed);
    }

    [Fact]
    public void Current_read_before_the_removal_confirms_nothing()
    {
        var world = Measuring();
        Stopped(world);
        world.Silent.UnionWith(["dmm-2", "dmm-3"]);

        world.For(TimeSpan.FromSeconds(6));
        Assert.False(world.State.Removal!.IsConfirmed);
    }

    [Fact]
    public void Load_off_that_is_not_confirmed_is_said_within_five_seconds_with_what_to_do_and_stays_until_acknowledged()
    {
        var world = Measuring();
        world.Welded = world.Contacts;
        world.Says = q => new Answer(false, null, "", "A. Invented");
        var from = world.Machine.Now;
        Stopped(world);

        world.Until(w => AskedSinceRemoval(w).Any());
        Assert.InRange(world.Machine.Now - from, TimeSpan.FromSeconds(5), TimeSpan.FromSeconds(5.2));
        var question = AskedSinceRemoval(world).First();
        Assert.Equal(QuestionKind.Acknowledge, question.Kind);
        Assert.StartsWith(
            "LOAD OFF NOT CONFIRMED. Switch the weld output off, stop the engine with its own switch, stay clear, pull no lead or plug; then measure the volts at the studs before you touch them.",
            question.Text,
            StringComparison.Ordinal
        );
        Assert.Contains("STILL ON", question.Text, StringComparison.Ordinal);
        Assert.Contains("Found: ELEMENT ", question.Text, StringComparison.Ordinal);
        // What is said was counted before the all-off of the same turn left.
        var sent = world.Machine.Commands.OfType<RemoveLoadNow>().Count() - 1;
        Assert.Contains(
            $"all-off written {sent} times, answered {sent} times",
            question.Text,
            StringComparison.Ordinal
        );
        world.For(TimeSpan.FromSeconds(20));
        Assert.Equal(RunPhase.Removing, world.State.Phase);
        Assert.True(AskedSinceRemoval(world).Count() > 2);
        world.Says = q => new Answer(true, null, "", "A. Invented");
        world.UntilClosed(TimeSpan.FromSeconds(1));
        Assert.Equal(BankEnd.OffNotConfirmed, world.Machine.Closed!.Bank);
        // All-off goes out once more with the answer: the line may have come back since the tick before.
        Assert.Contains(world.Machine.Turns.Last(t => t.Input is OperatorAnswered).Commands, c => c is RemoveLoadNow);
    }

    [Fact]
    public void Without_any_reading_of_the_current_the_words_say_so()
    {
        var world = new HandFedWorld(SomePlan.Short);
        world.Silent.UnionWith(["dmm-1", "dmm-2"]);
        world.Until(w => w.IsScanned);
        Stopped(world);

        world.For(TimeSpan.FromSeconds(6));
        var off = world.Machine.Entries.OfType<LoadOff>().Last();
        Assert.False(off.IsConfirmed);
        Assert.Contains("no current reading", off.Words, StringComparison.Ordinal);
        Assert.Contains("no voltage reading", off.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Off_found_while_the_person_still_reads_the_warning_is_what_the_record_says()
    {
        var world = Measuring();
        world.Welded = world.Contacts;
        world.Ignores = c => c is Ask;
        Stopped(world);
        world.Until(w => w.State.Removal!.IsConfirmed == false);

        world.Welded = ElementSet.None;
        world.Write(ElementSet.None);
        world.Until(w => w.State.Removal!.IsConfirmed == true, TimeSpan.FromSeconds(1));
        world.Answer(AskedSinceRemoval(world).Single());
        world.UntilClosed();
        Assert.Equal(BankEnd.Off, world.Machine.Closed!.Bank);
        Assert.Equal([false, true], world.Machine.Entries.OfType<LoadOff>().TakeLast(2).Select(o => o.IsConfirmed));
    }

    [Fact]
    public void Contact_that_closes_again_takes_the_confirmation_back_and_all_off_goes_out_again()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask;
        Stopped(world);
        world.Until(w => w.State.Removal!.IsConfirmed == true);
        var sent = world.Machine.Commands.OfType<RemoveLoadNow>().Count();

        world.IsOutputOn = false;
        world.Welded = world.Contacts = ElementSet.Of(3);
        world.Until(w => w.State.Removal!.IsConfirmed == false, TimeSpan.FromSeconds(0.6));
        Assert.True(world.Machine.Commands.OfType<RemoveLoadNow>().Count() > sent);
        Assert.StartsWith("LOAD OFF NOT CONFIRMED", AskedSinceRemoval(world).Last().Text, StringComparison.Ordinal);
        Assert.Contains(
            $"ELEMENT {ElementSet.Of(3)} STILL ON",
            AskedSinceRemoval(world).Last().Text,
            StringComparison.Ordinal
        );
        world.Answer(AskedSinceRemoval(world).Last());
        Assert.Equal(BankEnd.OffNotConfirmed, world.UntilClosed().Machine.Closed!.Bank);
    }

    [Fact]
    public void Signal_closes_the_run_without_asking_anybody()
    {
        var world = Measuring();
        world.Write(ElementSet.None);
        world.Feed(new LoadGone(world.Machine.Now, new RemovalCause("SIGNAL", "The program was told to end.")));

        world.UntilClosed(TimeSpan.FromSeconds(1));
        Assert.Empty(AskedSinceRemoval(world));
        Assert.Equal((Outcome.Stopped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Signal_with_a_bank_that_does_not_obey_closes_after_four_seconds_and_says_so()
    {
        var world = Measuring();
        world.Welded = world.Contacts;
        world.Feed(new LoadGone(world.Machine.Now, new RemovalCause("SIGNAL", "The program was told to end.")));

        world.UntilClosed(TimeSpan.FromSeconds(4.2));
        Assert.Empty(AskedSinceRemoval(world));
        Assert.Equal(BankEnd.OffNotConfirmed, world.Machine.Closed!.Bank);
    }

    [Fact]
    public void Late_loop_is_a_trip_and_an_error_an_interruption()
    {
        foreach (var (code, outcome) in new[] { ("LATE", Outcome.Tripped), ("ERROR", Outcome.Interrupted) })
        {
            var world = Measuring();
            world.Feed(new LoadGone(world.Machine.Now, new RemovalCause(code, "from outside")));
            Assert.Equal(outcome, world.UntilClosed().Machine.Closed!.Outcome);
        }
    }

    [Fact]
    public void Lost_storage_removes_the_load_and_still_asks_the_person_to_stop_the_engine()
    {
        var world = Measuring();

        var commands = world.Feed(new RunBroke(world.Machine.Now, "DISK", "No space is left."));
        Assert.Equal("DISK", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        world.UntilClosed();
        Assert.Equal((Outcome.Interrupted, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
        Assert.Equal(HandAction.StopEngine, Assert.Single(AskedSinceRemoval(world)).Action);
        Assert.False(world.IsEngineRunning);
    }

    [Fact]
    public void Run_stopped_before_anything_was_scanned_closes_at_once_as_never_energised()
    {
        var world = new HandFedWorld(SomePlan.Verification) { Ignores = c => c is Ask };
        world.Feed(new RunBegan(TimeSpan.Zero));

        var commands = Stopped(world).Machine.Turns[^1].Commands;
        Assert.IsType<RemoveLoadNow>(commands[0]);
        Assert.Contains(commands, c => c is WithdrawQuestion);
        Assert.Equal(BankEnd.NeverEnergised, world.Machine.Closed!.Bank);
    }

    [Fact]
    public void Question_open_at_the_removal_is_withdrawn_and_its_answer_comes_to_nothing()
    {
        var world = new HandFedWorld(SomePlan.Verification).Until(w => w.IsEngineRunning);
        world.Ignores = c => c is Ask;
        world.Until(w => w.State.OpenQuestion is not null);
        var open = world.State.OpenQuestion!.Value;

        var commands = Stopped(world).Machine.Turns[^1].Commands;
        Assert.Contains(commands, c => c is WithdrawQuestion);
        var after = world.State;
        Assert.Empty(
            world.Feed(new OperatorAnswered(world.Machine.Now, open, new Answer(true, null, "", "A. Invented")))
        );
        // But for the count of the first all-off, heard only now.
        Assert.Equal(after with { Removal = after.Removal! with { AllOff = new(1, 1, 0) } }, world.State);
    }

    [Fact]
    public void Fan_is_run_once_the_load_is_off_and_never_stopped()
    {
        var world = Stopped(Measuring()).UntilClosed();

        var fan = world.Machine.Commands.SkipWhile(c => c is not RemoveLoadNow).OfType<SetFan>();
        Assert.All(fan, f => Assert.True(f.IsOn));
        Assert.NotEmpty(fan);
    }

    [Fact]
    public void Overshoot_when_the_load_goes_off_does_not_latch_a_second_code()
    {
        var world = Stopped(Measuring());
        world.Reads = (channel, value) =>
            (channel.Role is ChannelRole.StudVolts or ChannelRole.BankVolts ? 120 : value, IndicationFlag.Good);

        world.UntilClosed();
        Assert.Equal("STOP", world.Machine.Closed!.Code);
        Assert.Equal(BankEnd.Off, world.Machine.Closed.Bank);
    }
}
