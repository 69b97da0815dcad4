using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using static LoadTest.SequencerTests.Engine.RemovalTests;

namespace LoadTest.SequencerTests.Engine;

/// <summary>What is said of load off: facts later than the removal, each with its time, and nothing else.</summary>
public sealed class OffFactsTests
{
    private static readonly TimeSpan Removed = TimeSpan.FromSeconds(100);

    private static OffReading Shunt(double amperes, OffSign sign, double after) =>
        new(3, ChannelRole.ReferenceShuntDrop, amperes, sign, At(after), At(after));

    private static OffReading Studs(double volts, OffSign sign, double after) =>
        new(2, ChannelRole.StudVolts, volts, sign, At(after), At(after));

    private static TimeSpan At(double after) => Removed + TimeSpan.FromSeconds(after);

    private static OffFacts Facts(double? contactsAfter, uint held, params OffReading[] readings) =>
        new(
            Removed,
            default,
            contactsAfter is { } after ? new ContactsRead(new ElementSet(held), At(after)) : null,
            [.. readings],
            null
        );

    [Theory]
    [InlineData(0.1, 0u, 0.1, true)]
    [InlineData(0.1, 4u, 0.1, false)]
    [InlineData(-0.1, 0u, 0.1, false)]
    [InlineData(0.1, 0u, -0.1, false)]
    [InlineData(0.0, 0u, 0.1, false)]
    [InlineData(0.1, 0u, 0.0, false)]
    [InlineData(null, 0u, 0.1, false)]
    public void Off_is_confirmed_by_contacts_and_a_current_both_read_after_the_removal(
        double? contacts,
        uint held,
        double shunt,
        bool isConfirmed
    ) => Assert.Equal(isConfirmed, Facts(contacts, held, Shunt(0.02, OffSign.NoCurrent, shunt)).Confirm);

    [Fact]
    public void One_channel_that_shows_current_is_enough_to_doubt_and_one_that_does_not_count_confirms_nothing()
    {
        var bank = new OffReading(1, ChannelRole.BankAmperes, 12, OffSign.Current, At(0.2), At(0.2));
        Assert.False(Facts(0.1, 0, Shunt(0.02, OffSign.NoCurrent, 0.2), bank).Confirm);
        Assert.True(Facts(0.1, 0, Shunt(0.02, OffSign.NoCurrent, 0.2), bank with { At = At(-0.2) }).Confirm);
        Assert.False(Facts(0.1, 0, bank with { Value = 0, Sign = OffSign.Unproved }).Confirm);
    }

    [Fact]
    public void No_current_speaks_for_open_contacts_only_while_the_studs_are_live_since_the_removal()
    {
        var none = Shunt(0.02, OffSign.NoCurrent, 0.2);
        Assert.Equal(OffWitnesses.Current, Facts(null, 0, none, Studs(72.1, OffSign.Live, 0.2)).Witnesses);
        Assert.Equal(OffWitnesses.CurrentOnly, Facts(null, 0, none, Studs(0.1, OffSign.NotLive, 0.2)).Witnesses);
        Assert.Equal(OffWitnesses.CurrentOnly, Facts(null, 0, none, Studs(72.1, OffSign.Live, -0.2)).Witnesses);
        Assert.Equal(
            OffWitnesses.Contacts | OffWitnesses.Person,
            (Facts(0.1, 0) with { Stopped = new EngineStopped("A. Invented", At(9)) }).Witnesses
        );
        Assert.Equal(OffWitnesses.None, Facts(null, 0).Witnesses);
    }

    [Fact]
    public void What_was_read_since_is_told_with_its_time_and_what_was_not_with_its_age() =>
        Assert.Equal(
            "all contacts read open 0.12 s after the removal; reference shunt not read since (last 150 A, 5.0 s before it); volts at the studs not read since (last 27.9 V, 0.25 s before it)",
            OffWords.Of(Facts(0.12, 0, Shunt(150, OffSign.Current, -5), Studs(27.9, OffSign.NotLive, -0.25)))
        );

    [Fact]
    public void Contacts_not_read_since_are_told_with_what_they_were() =>
        Assert.StartsWith(
            $"contacts not read since (last element {new ElementSet(0b1000)} on, 0.4 s before the removal); ",
            OffWords.Of(Facts(-0.4, 0b1000)),
            StringComparison.Ordinal
        );

    [Fact]
    public void Dead_source_is_said_to_say_nothing_about_the_contacts()
    {
        var none = Shunt(0.02, OffSign.NoCurrent, 0.2);
        const string says = "the missing current says nothing about the contacts";
        Assert.Contains(
            says,
            OffWords.Of(Facts(0.1, 0, none, Studs(0.1, OffSign.NotLive, 0.2))),
            StringComparison.Ordinal
        );
        Assert.DoesNotContain(
            says,
            OffWords.Of(Facts(0.1, 0, none, Studs(72, OffSign.Live, 0.2))),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData("dmm-1", "volts at the studs not read since (last ")]
    [InlineData("dmm-2", "reference shunt not read since (last ")]
    public void Meter_silent_from_the_removal_on_is_told_with_its_age_and_quoted_for_nothing(string meter, string words)
    {
        var world = Measuring();
        Stopped(world);
        world.Silent.Add(meter);
        world.For(TimeSpan.FromSeconds(6));
        var off = world.Machine.Entries.OfType<OffJudged>().First();
        Assert.Contains(words, off.Words, StringComparison.Ordinal);
        Assert.Contains(" before it)", off.Words, StringComparison.Ordinal);
        Assert.All(
            off.Facts.Readings.Where(r => world.Plan.Bench.Channels[r.Channel].InstrumentId == meter),
            r => Assert.False(off.Facts.IsSince(r.At))
        );
    }

    [Fact]
    public void Volts_that_stand_to_the_digit_while_a_current_is_taken_away_show_no_live_source()
    {
        var world = Measuring();
        var studs = world.State.LastGood.First(r => world.Plan.Bench.Channels[r.Channel].Role == ChannelRole.StudVolts);
        world.Reads = (channel, value) =>
            (channel.Role == ChannelRole.StudVolts ? studs.Value : value, IndicationFlag.Good);
        world.Ignores = c => c is Ask;
        Stopped(world).For(TimeSpan.FromSeconds(2));
        var off = world.Machine.Entries.OfType<OffJudged>().First();
        Assert.True(off.IsConfirmed);
        Assert.False(off.Facts.Says(OffSign.Live));
        Assert.Contains("at the studs, the same digits since ", off.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Stop_and_the_engine_stopped_as_asked_bring_no_later_causes()
    {
        var world = Measuring();
        world.Ignores = c => c is Ask;
        Stopped(world).For(TimeSpan.FromSeconds(5));
        // The engine runs down while the person still walks back.
        world.Reads = (channel, value) =>
            (channel.Role is ChannelRole.StudVolts or ChannelRole.BankVolts ? -0.02 : value, IndicationFlag.Good);
        world.For(TimeSpan.FromSeconds(5));
        Assert.DoesNotContain(
            world.Machine.Entries.OfType<Remarked>(),
            r => r.Text.StartsWith("Later cause ", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Unconfirmed_end_after_a_signal_leaves_its_facts_as_the_last_word_before_the_end()
    {
        var world = Measuring();
        world.Welded = world.Contacts;
        world.Feed(new LoadGone(world.Machine.Now, new RemovalCause("SIGNAL", "The program was told to end.")));
        world.UntilClosed(TimeSpan.FromSeconds(4.2));
        var last = Assert.IsType<OffJudged>(world.Machine.Entries.OfType<LoadOff>().Last());
        Assert.False(last.IsConfirmed);
        Assert.Equal(BankEnd.OffNotConfirmed, world.Machine.Closed!.Bank);
        Assert.Equal(world.Machine.Closed.At, last.At);
    }

    [Fact]
    public void Person_who_says_that_the_engine_has_stopped_is_a_fact_with_name_and_time()
    {
        var world = Measuring();
        world.Welded = world.Contacts;
        Stopped(world).UntilClosed();
        var last = world.Machine.Entries.OfType<OffJudged>().Last();
        Assert.Equal(new EngineStopped("A. Invented", last.At), last.Facts.Stopped);
        Assert.False(last.IsConfirmed);
        Assert.Contains("A. Invented says that the engine has stopped", last.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Reply_asked_for_before_the_removal_that_comes_behind_one_that_counts_is_told_as_the_last_word()
    {
        var world = Measuring();
        world.Ignores = c => c is ReadStates or Ask;
        world.Until(w => w.State.AreStatesWanted);
        var old = world.State.StatesAsked;
        Stopped(world).For(TimeSpan.FromSeconds(0.3));
        world.Feed(new StatesArrived(world.Machine.Now, old, world.States()));
        Assert.False(world.State.ContactsSeen?.At > world.State.Removal!.Since);
        world.Feed(new StatesArrived(world.Machine.Now, world.State.StatesAsked, world.States()));
        world.For(TimeSpan.FromSeconds(0.1));
        world.Feed(new StatesArrived(world.Machine.Now, old, world.States()));
        Assert.Equal(world.Machine.Now, world.State.ContactsSeen!.Value.At);
        Assert.True(world.State.Removal!.IsConfirmed);
    }
}
