using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class TripTests
{
    private static HandFedWorld Measuring() => new HandFedWorld(SomePlan.Verification).UntilMeasuringUnderLoad();

    private static ImmutableArray<RunCommand> Read(HandFedWorld world, string name, double value, IndicationFlag flag)
    {
        var index = world.Plan.Bench.Channels.Index().Single(c => c.Item.Name == name).Index;
        return world.Feed(new ReadingsArrived(world.Machine.Now, [new Reading(index, value, flag, world.Machine.Now)]));
    }

    [Theory]
    [InlineData("bank volts", 86, IndicationFlag.Good, "VOLTS")]
    [InlineData("bank volts", -2, IndicationFlag.Good, "POLARITY")]
    [InlineData("stud volts", 86, IndicationFlag.Good, "VOLTS")]
    [InlineData("bank amperes", 346, IndicationFlag.Good, "AMPERES")]
    [InlineData("bank amperes", -7, IndicationFlag.Good, "POLARITY")]
    [InlineData("reference drop", 0.0346, IndicationFlag.Good, "AMPERES")]
    [InlineData("reference drop", -0.0007, IndicationFlag.Good, "POLARITY")]
    [InlineData("bank volts", double.NaN, IndicationFlag.Good, "NAN")]
    [InlineData("bank amperes", double.NaN, IndicationFlag.Good, "NAN")]
    [InlineData("bank amperes", double.PositiveInfinity, IndicationFlag.Good, "NAN")]
    [InlineData("stud volts", double.NegativeInfinity, IndicationFlag.Good, "NAN")]
    [InlineData("bank volts", 0, IndicationFlag.Overload, "OVERLOAD")]
    [InlineData("unit drop", 0, IndicationFlag.Overload, "OVERLOAD")]
    [InlineData("unit drop", 9.9e37, IndicationFlag.Good, "NAN")]
    [InlineData("unit drop", double.NaN, IndicationFlag.Good, "NAN")]
    [InlineData("reference drop", 0, IndicationFlag.NotANumber, "NAN")]
    [InlineData("stud volts", 1, IndicationFlag.Good, "SOURCE")]
    public void One_bad_reading_removes_the_load_before_anything_else(
        string channel,
        double value,
        IndicationFlag flag,
        string code
    )
    {
        var world = Measuring();

        var commands = Read(world, channel, value, flag);
        Assert.Equal(code, Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        Assert.Equal(RunPhase.Removing, world.State.Phase);
        Assert.Equal(code, world.Machine.Entries.OfType<Tripped>().Single().Code);
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Reading_that_trips_is_in_the_journal_behind_the_removal_with_those_of_its_scan()
    {
        var world = Measuring();

        var commands = Read(world, "bank amperes", 346, IndicationFlag.Good);
        Assert.IsType<RemoveLoadNow>(commands[0]);
        var scan = Assert.IsType<Scanned>(Assert.IsType<Write>(commands[1]).Entry);
        Assert.Contains(scan.Readings, r => r.Value == 346);
        Assert.IsType<LoadRemoved>(Assert.IsType<Write>(commands[2]).Entry);
    }

    [Fact]
    public void Amperes_over_volts_beyond_what_the_elements_explain_trip()
    {
        var world = Measuring();
        var volts = world.State.LastGood.Zip(world.Plan.Bench.Channels).Single(c => c.Second.Name == "bank volts");
        var allowed = world.State.Limits!.Conductance!.Value;

        var at = world.Machine.Now;
        var commands = world.Feed(
            new ReadingsArrived(
                at,
                [
                    new Reading(0, volts.First.Value, IndicationFlag.Good, at),
                    new Reading(1, volts.First.Value * allowed.Upper * 1.01, IndicationFlag.Good, at),
                ]
            )
        );
        Assert.Equal("CONDUCTANCE", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
    }

    [Fact]
    public void Conductance_is_judged_where_volts_and_amperes_come_from_different_instruments_too()
    {
        var bench = SomePlan.Verification.Bench;
        var plan = SomePlan.Verification with
        {
            Bench = bench with
            {
                Channels =
                [
                    .. bench.Channels.Select(c =>
                        c with
                        {
                            IsFast = c.Role is ChannelRole.StudVolts or ChannelRole.ReferenceShuntDrop,
                        }
                    ),
                ],
            },
        };
        var world = new HandFedWorld(plan).UntilMeasuringUnderLoad();
        var (volts, drop) = (Index(world, "stud volts"), Index(world, "reference drop"));
        var shunt = plan.Bench.ReferenceShunt;
        var perVolt =
            1.01 * world.State.Limits!.Conductance!.Value.Upper * (shunt.RatedVolts.Value / shunt.RatedAmperes.Value);

        var at = world.Machine.Now;
        var first = world.State.LastGood[volts].Value;
        var commands = world.Feed(
            new ReadingsArrived(at, [new Reading(drop, first * perVolt, IndicationFlag.Good, at)])
        );
        Assert.Equal("CONDUCTANCE", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
    }

    private static int Index(HandFedWorld world, string name) =>
        world.Plan.Bench.Channels.Index().Single(c => c.Item.Name == name).Index;

    [Theory]
    [InlineData("bank-1", "bank volts")]
    [InlineData("dmm-1", "stud volts")]
    [InlineData("dmm-2", "reference drop")]
    [InlineData("dmm-3", "unit drop")]
    public void Silent_instrument_trips_within_its_age_limit_and_one_period(string instrument, string channel)
    {
        var world = Measuring();
        var limit = world.Plan.Bench.Channels[Index(world, channel)].MaximumAge;
        var last = world.State.LastGood[Index(world, channel)].At;

        world.Silent.Add(instrument);
        world.Until(w => w.State.Latched is not null);
        Assert.Equal("SILENT", world.State.Latched!.Code);
        Assert.Contains(instrument, world.State.Latched.Detail, StringComparison.Ordinal);
        Assert.InRange(world.Machine.Now - last, limit, limit + RunMachine.ScanPeriod);
    }

    [Fact]
    public void Missing_readings_do_not_make_a_channel_younger()
    {
        var world = Measuring();
        world.Reads = (channel, value) =>
            channel.Name == "stud volts" ? (0, IndicationFlag.Missing) : (value, IndicationFlag.Good);

        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(1.3));
        Assert.Equal("SILENT", world.State.Latched!.Code);
    }

    [Fact]
    public void Silence_is_judged_from_the_first_moment_of_scanning_before_any_reading_came()
    {
        var world = new HandFedWorld(SomePlan.Short);
        world.Silent.Add("dmm-2");

        world.Until(w => w.State.Latched is not null);
        Assert.Equal("SILENT", world.State.Latched!.Code);
        Assert.InRange(world.Machine.Now, TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1.2));
    }

    [Fact]
    public void Tick_that_comes_late_trips_by_itself_because_nobody_was_watching()
    {
        var world = Measuring();

        var commands = world.Feed(new Ticked(world.Machine.Now += TimeSpan.FromSeconds(2)));
        Assert.Equal("LATE", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Limits_of_both_states_hold_while_one_passes_into_the_other()
    {
        var world = new HandFedWorld(SomePlan.Verification).Until(w =>
            w.Act is SettleAct { Point.State.Elements.IsEmpty: false } && w.State.NextLimits is not null
        );
        var (now, next) = (world.State.Limits!, world.State.NextLimits!);

        Assert.Null(now.Conductance);
        Assert.NotNull(next.Conductance);
        Assert.True(now.Volts.Lower <= next.Volts.Lower && now.Volts.Upper >= next.Volts.Upper);
        Assert.True(now.Amperes.Lower <= next.Amperes.Lower && now.Amperes.Upper >= next.Amperes.Upper);
        world.For(TimeSpan.FromSeconds(1.6));
        Assert.Equal(next, world.State.Limits);
    }

    [Fact]
    public void Channels_are_never_scanned_without_limits()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilClosed();

        Assert.DoesNotContain(world.Machine.Turns, t => t.State is { IsScanning: true, Limits: null });
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-0.4)]
    [InlineData(20)]
    public void Collapsed_source_trips_with_the_bank_open_or_loaded_but_idle_speed_does_not(double volts)
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is MeasureAct && w.State.NextLimits is null);
        Assert.True(world.Contacts.IsEmpty);

        var commands = Read(world, "bank volts", volts, IndicationFlag.Good);
        if (volts < 0.25 * 71)
            Assert.Equal("SOURCE", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        else
            Assert.Null(world.State.Latched);
    }

    [Fact]
    public void Output_that_is_rightly_dead_is_no_collapse()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilClosed();

        Assert.Null(world.State.Latched);
        Assert.Contains(world.Machine.Turns, t => t.State is { LeastVolts: > 0 });
        Assert.Contains(
            world.Machine.Turns,
            t => t.State is { IsScanning: true, IsEngineRunning: false, LeastVolts: null }
        );
    }

    [Fact]
    public void First_cause_is_the_first_in_order_of_arrival_and_later_ones_are_remarked_once()
    {
        var world = Measuring();
        var at = world.Machine.Now;

        world.Feed(
            new ReadingsArrived(
                at,
                [new Reading(0, 99, IndicationFlag.Good, at), new Reading(1, 999, IndicationFlag.Good, at)]
            )
        );
        Assert.Equal("VOLTS", world.State.Latched!.Code);
        Read(world, "bank amperes", 999, IndicationFlag.Good);
        Read(world, "bank amperes", 998, IndicationFlag.Good);
        Read(world, "unit drop", 0, IndicationFlag.NotANumber);
        Assert.Equal("VOLTS", world.State.Latched.Code);
        var remarks = world.Machine.Entries.OfType<Remarked>().Select(r => r.Text).ToArray();
        Assert.Equal(2, remarks.Length);
        Assert.StartsWith("Later cause AMPERES", remarks[0], StringComparison.Ordinal);
        Assert.StartsWith("Later cause NAN", remarks[1], StringComparison.Ordinal);
    }

    [Fact]
    public void Readings_before_scanning_begins_decide_nothing()
    {
        var world = new HandFedWorld(SomePlan.Verification);
        world.Feed(new RunBegan(TimeSpan.Zero));

        Read(world, "bank amperes", 9999, IndicationFlag.Good);
        Assert.Null(world.State.Latched);
    }

    [Theory]
    [InlineData(150, true)]
    [InlineData(151, false)]
    public void Volts_and_amperes_further_apart_than_a_scan_and_a_half_say_nothing_of_conductance(
        int milliseconds,
        bool isTrip
    )
    {
        var world = Measuring();
        var at = world.Machine.Now;
        var volts = world.State.LastGood[0].Value;
        var amperes = volts * world.State.Limits!.Conductance!.Value.Upper * 1.01;
        world.Feed(new ReadingsArrived(at, [new Reading(0, volts, IndicationFlag.Good, at)]));
        Assert.Null(world.State.Latched);
        var later = at + TimeSpan.FromMilliseconds(milliseconds);
        world.Feed(new ReadingsArrived(later, [new Reading(1, amperes, IndicationFlag.Good, later)]));
        Assert.Equal(isTrip ? "CONDUCTANCE" : null, world.State.Latched?.Code);
    }
}
