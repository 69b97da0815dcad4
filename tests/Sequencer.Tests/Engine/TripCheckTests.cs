using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests.Engine;

public sealed class TripCheckTests
{
    private static readonly Channel Channel = Some.Bench().Channels[0];
    private static readonly TripLimits Limits = new(new Band(-1, 80), new Band(-6, 345), new Band(7.5, 8.25));

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    [InlineData(9.9e37)]
    [InlineData(-9.9e37)]
    public void What_is_no_usable_number_is_outside_every_limit(double value)
    {
        Assert.NotNull(TripCheck.Volts(Channel, value, Limits));
        Assert.NotNull(TripCheck.Amperes(Channel, value, Limits));
        Assert.NotNull(TripCheck.Conductance(31.2, value, Limits));
    }

    [Fact]
    public void Not_a_number_is_outside_limits_that_have_no_end()
    {
        var endless = new TripLimits(
            new Band(double.NegativeInfinity, double.PositiveInfinity),
            new Band(double.NegativeInfinity, double.PositiveInfinity),
            null
        );
        Assert.NotNull(TripCheck.Volts(Channel, double.NaN, endless));
        Assert.NotNull(TripCheck.Amperes(Channel, double.NaN, endless));
    }

    [Fact]
    public void Volts_that_are_no_number_make_no_conductance_that_passes() =>
        Assert.NotNull(TripCheck.Conductance(double.NaN, 250, Limits));

    [Fact]
    public void Bounds_themselves_are_allowed_and_the_next_number_beyond_is_not()
    {
        Assert.Null(TripCheck.Volts(Channel, 80, Limits));
        Assert.Null(TripCheck.Volts(Channel, -1, Limits));
        Assert.NotNull(TripCheck.Volts(Channel, Math.BitIncrement(80), Limits));
        Assert.NotNull(TripCheck.Volts(Channel, Math.BitDecrement(-1.0), Limits));
        Assert.Null(TripCheck.Amperes(Channel, 345, Limits));
        Assert.NotNull(TripCheck.Amperes(Channel, Math.BitIncrement(345), Limits));
        Assert.Null(TripCheck.Conductance(10, 82.5, Limits));
        Assert.NotNull(TripCheck.Conductance(10, 82.6, Limits));
    }

    [Theory]
    [InlineData(2.99, 500, false)]
    [InlineData(-2.99, 500, false)]
    [InlineData(0, 500, false)]
    [InlineData(3, 500, true)]
    [InlineData(-3, 500, true)]
    public void Below_three_volts_conductance_is_not_judged(double volts, double amperes, bool isTrip) =>
        Assert.Equal(isTrip, TripCheck.Conductance(volts, amperes, Limits) is not null);

    // 31.2 V and 250 A are 8.013 S: Ohm's law, worked by hand.
    [Fact]
    public void Conductance_is_amperes_over_volts()
    {
        Assert.Null(TripCheck.Conductance(31.2, 250, Limits));
        var cause = TripCheck.Conductance(31.2, 260, Limits);
        Assert.Contains("8.3333 S", cause!.Detail, StringComparison.Ordinal);
        Assert.Contains("7.5 S to 8.25 S", cause.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Words_name_channel_instrument_value_and_limit()
    {
        Assert.Equal(
            "bank volts (bank-1) reads 81.25 V; -1 V to 80 V is allowed.",
            TripCheck.Volts(Channel, 81.25, Limits)!.Detail
        );
        var oneSided = Limits with { Amperes = new Band(double.NegativeInfinity, 345) };
        Assert.Contains(
            "346 A; at most 345 A is allowed",
            TripCheck.Amperes(Channel, 346, oneSided)!.Detail,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Age_at_the_limit_is_allowed_and_beyond_it_trips()
    {
        Assert.Null(TripCheck.Age(Channel, Channel.MaximumAge));
        Assert.Equal("SILENT", TripCheck.Age(Channel, Channel.MaximumAge + TimeSpan.FromTicks(1))!.Code);
    }

    [Theory]
    [InlineData(IndicationFlag.Good, null)]
    [InlineData(IndicationFlag.Missing, null)]
    [InlineData(IndicationFlag.Overload, "OVERLOAD")]
    [InlineData(IndicationFlag.NotANumber, "NAN")]
    public void Flag_trips_unless_the_reading_is_good_or_only_missing(IndicationFlag flag, string? code) =>
        Assert.Equal(code, TripCheck.Flag(Channel, flag)?.Code);

    // 9.9E37, -9.9E37 and 9.91E37 stand for infinity and not-a-number (SCPI-99 volume 1, 7.2.1.4 and 7.2.1.5).
    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    [InlineData(9.9e37)]
    [InlineData(-9.9e37)]
    [InlineData(9.91e37)]
    public void Code_that_slipped_through_as_good_is_flagged_before_anything_sees_it(double value) =>
        Assert.Equal(
            new Reading(3, 0, IndicationFlag.NotANumber, default),
            TripCheck.Flagged([
                new Reading(0, 31.2, IndicationFlag.Good, default),
                new Reading(3, value, IndicationFlag.Good, default),
            ])[1]
        );

    [Theory]
    [InlineData(100, false)]
    [InlineData(350, false)]
    [InlineData(351, true)]
    [InlineData(60_000, true)]
    public void Loop_is_late_beyond_its_period_and_a_quarter_of_a_second(int milliseconds, bool isTrip) =>
        Assert.Equal(isTrip, TripCheck.Late(TimeSpan.FromMilliseconds(milliseconds)) is not null);

    [Theory]
    [InlineData(8, null, false)]
    [InlineData(8, 8.0, false)]
    [InlineData(7.99, 8.0, true)]
    [InlineData(double.NaN, 8.0, true)]
    public void Source_has_collapsed_unless_it_gives_the_least_volts(double volts, double? least, bool isTrip) =>
        Assert.Equal(isTrip, TripCheck.Source(Channel, volts, least) is not null);

    private static LoadStates Bank(bool? air, bool? hot, bool? stop) =>
        new(CommandOutcome.Ok, "", default, default, air, hot, stop, 0);

    [Fact]
    public void Bank_trips_by_stop_by_heat_and_by_missing_air_with_elements_on()
    {
        var on = ElementSet.Of(2);
        Assert.Equal("ESTOP", TripCheck.OfBank(Bank(true, false, false), ElementSet.None)!.Code);
        Assert.Equal("TEMP", TripCheck.OfBank(Bank(true, true, true), ElementSet.None)!.Code);
        Assert.Equal("FAN", TripCheck.OfBank(Bank(false, false, true), on)!.Code);
        Assert.Null(TripCheck.OfBank(Bank(false, false, true), ElementSet.None));
        Assert.Null(TripCheck.OfBank(Bank(null, null, null), on));
    }

    [Fact]
    public void Hull_allows_what_either_state_allows_and_nothing_between_trips_on_conductance()
    {
        var band =
            from lower in Gen.Double[-100, 100]
            from width in Gen.Double[0, 100]
            select new Band(lower, lower + width);
        var limits =
            from volts in band
            from amperes in band
            from siemens in band
            select new TripLimits(volts, amperes, siemens);
        Gen.Select(limits, limits, Gen.Double[-250, 250])
            .Sample(
                (from, to, value) =>
                {
                    var hull = TripCheck.Hull(from, to);
                    Assert.Null(hull.Conductance);
                    if (from.Volts.Contains(value) || to.Volts.Contains(value))
                        Assert.True(hull.Volts.Contains(value));
                    if (from.Amperes.Contains(value) || to.Amperes.Contains(value))
                        Assert.True(hull.Amperes.Contains(value));
                },
                iter: 2000
            );
    }

    [Fact]
    public void Conductance_is_judged_only_where_limits_say_so() =>
        Assert.Null(TripCheck.Conductance(10, 1000, Limits with { Conductance = null }));

    [Fact]
    public void Unmoved_volts_and_amperes_across_a_step_are_frozen_and_either_of_them_moved_is_conductance()
    {
        Assert.Equal("FROZEN", TripCheck.Conductance(10, 100, Limits, (10, 100))!.Code);
        Assert.Equal("CONDUCTANCE", TripCheck.Conductance(10, 100, Limits, (10, 100.1))!.Code);
        Assert.Equal("CONDUCTANCE", TripCheck.Conductance(10, 100, Limits, (10.1, 100))!.Code);
        Assert.Equal("CONDUCTANCE", TripCheck.Conductance(10, 100, Limits)!.Code);
    }

    [Fact]
    public void Only_the_reading_that_is_no_number_is_flagged_as_none()
    {
        Reading Good(int channel, double value) => new(channel, value, IndicationFlag.Good, TimeSpan.Zero);
        var flagged = TripCheck.Flagged([
            Good(0, 12),
            Good(1, double.NaN),
            Good(2, -1e37),
            Good(3, 9.99e36),
            new Reading(4, 0, IndicationFlag.Missing, TimeSpan.Zero),
        ]);
        Assert.Equal(
            [
                IndicationFlag.Good,
                IndicationFlag.NotANumber,
                IndicationFlag.NotANumber,
                IndicationFlag.Good,
                IndicationFlag.Missing,
            ],
            flagged.Select(r => r.Flag)
        );
        Assert.Equal([12, 0, 0, 9.99e36, 0], flagged.Select(r => r.Value));
    }

    [Fact]
    public void Two_instruments_are_not_compared_before_both_have_read()
    {
        var bench = Some.Bench();
        var reading = new Reading(0, 12, IndicationFlag.Good, TimeSpan.Zero);
        Assert.Null(TripCheck.VoltsAgree(bench, null, reading));
        Assert.Null(TripCheck.VoltsAgree(bench, reading, null));
        Assert.Null(TripCheck.AmperesAgree(bench, null, reading));
        Assert.Null(TripCheck.AmperesAgree(bench, reading, null));
    }

    [Theory]
    [InlineData(double.NegativeInfinity, 80, "at most 80 V is allowed")]
    [InlineData(20, double.PositiveInfinity, "at least 20 V is asked for")]
    [InlineData(20, 80, "20 V to 80 V is allowed")]
    public void Words_name_the_ends_a_limit_has(double lower, double upper, string words)
    {
        var limits = Limits with { Volts = new Band(lower, upper) };
        var value = double.IsPositiveInfinity(upper) ? 10 : 90;
        Assert.Contains(words, TripCheck.Volts(Channel, value, limits)!.Detail, StringComparison.Ordinal);
    }

    // Resolution 100 µV of 31.2 V is 3.2 ppm; apertures of 20 ms ask for 0.4 s, of 150 ms for 3 s.
    [Theory]
    [InlineData(31.2, 20, 1.9, 20, true)]
    [InlineData(31.2, 19, 5, 20, false)]
    [InlineData(31.2, 20, 1.8999, 20, false)]
    [InlineData(31.2, 20, 3, 150, true)]
    [InlineData(31.2, 20, 2.9999, 150, false)]
    [InlineData(-31.2, 20, 1.9, 20, true)]
    [InlineData(5, 20, 1.9, 20, true)]
    [InlineData(4.9999, 20, 1.9, 20, false)]
    public void Digits_are_frozen_after_twenty_readings_two_seconds_and_twenty_apertures_where_noise_is_finer(
        double value,
        int count,
        double seconds,
        int apertureMilliseconds,
        bool isTrip
    )
    {
        var plan = SomePlan.Short;
        var input = Some.Input("volts", Unit.Volt, 100, 0, 0.0001, TimeSpan.FromMilliseconds(apertureMilliseconds));
        var cause = TripCheck.Frozen(
            plan.Bench.Channels[0],
            input,
            value,
            new Sameness(count, TimeSpan.FromSeconds(7)),
            TimeSpan.FromSeconds(7 + seconds)
        );
        Assert.Equal(isTrip ? "FROZEN" : null, cause?.Code);
    }

    // Some.Bench: studs 100 V range: 5e-5 of reading and 2e-5 of range; bank 1 % of reading, 2e-5 of range, steps of 10 mV.
    [Theory]
    [InlineData(-1)]
    [InlineData(1)]
    public void Volts_agree_within_twice_both_errors_and_one_percent_and_a_drop_of_ten(int side)
    {
        var bench = Some.Bench();
        var (studs, bank) = (Index(bench, ChannelRole.StudVolts), Index(bench, ChannelRole.BankVolts));
        const double Stud = 31.2;
        RemovalCause? At(double bankVolts) => TripCheck.VoltsAgree(bench, Good(studs, Stud), Good(bank, bankVolts));
        double Margin(double b) =>
            2
                * (
                    ChannelError.HalfWidth(bench, bench.Channels[studs], Stud)
                    + ChannelError.HalfWidth(bench, bench.Channels[bank], b)
                )
            + 0.01 * Stud;
        // The bank's error goes with its own reading, so the edge is found by repeating.
        var edge = Stud;
        for (var k = 0; k < 60; k++)
            edge = side > 0 ? Stud + Margin(edge) : Stud - Margin(edge) - 0.1 * Stud;
        Assert.Null(At(edge - side * 1e-9));
        Assert.Equal("DISAGREE", At(edge + side * 1e-9)?.Code);
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(1)]
    public void Amperes_agree_within_twice_both_errors_and_one_percent(int side)
    {
        var bench = Some.Bench();
        var (drop, bank) = (Index(bench, ChannelRole.ReferenceShuntDrop), Index(bench, ChannelRole.BankAmperes));
        const double Amperes = 300;
        const double Drop = Amperes * 0.05 / 500;
        RemovalCause? At(double bankAmperes) =>
            TripCheck.AmperesAgree(bench, Good(drop, Drop), Good(bank, bankAmperes));
        double Margin(double b) =>
            2
                * (
                    ChannelError.HalfWidth(bench, bench.Channels[drop], Drop) * 500 / 0.05
                    + ChannelError.HalfWidth(bench, bench.Channels[bank], b)
                )
            + 0.01 * Amperes;
        var edge = Amperes;
        for (var k = 0; k < 60; k++)
            edge = Amperes + side * Margin(edge);
        Assert.Null(At(edge - side * 1e-9));
        Assert.Equal("DISAGREE", At(edge + side * 1e-9)?.Code);
    }

    private static int Index(Bench bench, ChannelRole role) =>
        bench.Channels.Index().Single(c => c.Item.Role == role).Index;

    private static Reading Good(int channel, double value) =>
        new(channel, value, IndicationFlag.Good, TimeSpan.FromSeconds(1));

    [Fact]
    public void Late_says_how_long_nobody_looked_beyond_the_period() =>
        Assert.StartsWith(
            "300 ms passed without the program looking at anything; at most 250 ms are allowed.",
            TripCheck.Late(TimeSpan.FromMilliseconds(400))!.Detail,
            StringComparison.Ordinal
        );

    [Fact]
    public void Hull_of_the_same_side_limits_is_theirs_and_of_others_those_to_come()
    {
        static TripLimits With(params SideLimit[] side) => Limits with { Side = [.. side] };
        var cold = new SideLimit(ChannelRole.UnitTemperature, new Band(0, 100));
        var warm = new SideLimit(ChannelRole.UnitTemperature, new Band(20, 155));
        Assert.Equal(
            [new SideLimit(ChannelRole.UnitTemperature, new Band(0, 155))],
            TripCheck.Hull(With(cold), With(warm)).Side
        );
        Assert.Equal([warm], TripCheck.Hull(With(), With(warm)).Side);
        Assert.Empty(TripCheck.Hull(With(warm), With()).Side);
    }
}
