using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>A point waits for what the readings' own approach says is still to come, where the profile asks for it.</summary>
public sealed class ApproachTests
{
    private const string Rule =
        "{ within: 0.5 % of reading, still to come: 0.2 % of reading, over: 2 s, give up after: 30 s }";

    private static RunPlan Plan(string rule)
    {
        var plan = SomePlan.Long(
            """
              - energise: { mode: constant current }
              - hold: { at: 180 A, for: 1 s }
              - cool down: { for: 1 min }
            """,
            rule
        );
        Assert.True(plan.IsRunnable, string.Join('\n', plan.Findings));
        return plan;
    }

    /// <summary>Current that comes up to its end by a part that shrinks with the time constant, from when the point begins to settle.</summary>
    private static (HandFedWorld World, TimeSpan Waited) Settled(
        string rule,
        double part,
        double tau,
        ChannelRole[]? roles = null
    )
    {
        var world = new HandFedWorld(Plan(rule)).Until(w => w.Act is SettleAct);
        var begun = world.State.Progress.Since;
        world.Reads = (channel, value) =>
            (
                roles?.Contains(channel.Role) == false
                    ? value
                    : value * (1 - part * Math.Exp(-(world.Machine.Now - begun).TotalSeconds / tau)),
                IndicationFlag.Good
            );
        world.Until(w => w.State.Progress.Stage == ActStage.Holding || w.Act is not SettleAct);
        return (world, world.Machine.Now - begun);
    }

    private static PointMeasured Point(HandFedWorld world) =>
        world.UntilClosed().Machine.Entries.OfType<PointMeasured>().Single();

    [Fact]
    public void Without_being_asked_for_it_is_not_waited_for()
    {
        var (world, waited) = Settled("{ within: 0.5 % of reading, over: 2 s, give up after: 30 s }", 0.02, 8);
        Assert.True(world.State.Progress.HasSettled);
        Assert.True(waited < TimeSpan.FromSeconds(12));
    }

    [Theory]
    [InlineData(8)]
    [InlineData(4)]
    public void Point_settles_once_what_is_to_come_has_been_little_for_a_window(double tau)
    {
        // What is to come by the readings before is 2 % · exp(−t/τ); it is 0.2 % of the end after τ·ln 10.
        var little = tau * Math.Log(10);
        var (world, waited) = Settled(Rule, 0.02, tau);
        Assert.True(world.State.Progress.HasSettled, world.State.Progress.Words);
        Assert.InRange(waited.TotalSeconds, little + 1, little + 5);
    }

    [Fact]
    public void Readings_that_stay_settle_after_two_windows_and_one_in_which_they_looked_so()
    {
        var (world, waited) = Settled(Rule, 0, 1);
        Assert.True(world.State.Progress.HasSettled);
        Assert.Equal(5.9, waited.TotalSeconds, 0.01);
    }

    [Fact]
    public void Slow_approach_is_given_up_and_the_words_say_how_much_was_to_come()
    {
        var (world, waited) = Settled(Rule, 0.05, 60);
        Assert.False(world.State.Progress.HasSettled);
        Assert.Equal(30, waited.TotalSeconds, 0.01);
        Assert.StartsWith("Still to come: ", world.State.Progress.Words, StringComparison.Ordinal);
        Assert.EndsWith(" A allowed.", world.State.Progress.Words, StringComparison.Ordinal);
        var point = Point(world);
        Assert.False(point.HasSettled);
        Assert.StartsWith("Still to come: ", point.Words, StringComparison.Ordinal);
        Assert.Equal(point.Words, world.Machine.Entries.OfType<StepEnded>().Single(e => e.Step == point.Step).Remark);
    }

    [Fact]
    public void Volts_that_still_come_are_waited_for_as_amperes_are()
    {
        var (world, waited) = Settled(Rule, 0.02, 8, [ChannelRole.StudVolts, ChannelRole.BankVolts]);
        Assert.True(world.State.Progress.HasSettled);
        Assert.InRange(waited.TotalSeconds, 8 * Math.Log(10) + 1, 8 * Math.Log(10) + 5);
    }

    [Fact]
    public void Floor_lets_small_changes_be_still_to_come()
    {
        // 2 % of 180 A are 3.6 A; a floor of 1.8 A is met at once, after windows that have to be full.
        var (_, waited) = Settled(
            "{ within: 2 % of reading, or amperes within: 1.8 A, or volts within: 0.5 V, still to come: 0.2 % of reading, over: 2 s, give up after: 30 s }",
            0.02,
            8
        );
        Assert.InRange(waited.TotalSeconds, 5.9, 9);
    }

    [Theory]
    [InlineData(3, 3.5, " Too early to say what is still to come.")]
    [InlineData(2, 5, " It has not looked so for 2 s.")]
    public void Given_up_before_it_could_tell_it_says_what_was_missing(double over, double giveUp, string words)
    {
        var (world, _) = Settled(
            $"{{ within: 0.5 % of reading, still to come: 0.2 % of reading, over: {over} s, give up after: {giveUp} s }}",
            0,
            1
        );
        Assert.False(world.State.Progress.HasSettled);
        Assert.EndsWith(words, world.State.Progress.Words, StringComparison.Ordinal);
        Assert.True(world.State.Progress.Words.Length > words.Length);
    }

    [Fact]
    public void Given_up_with_too_few_readings_it_says_so()
    {
        var world = new HandFedWorld(
            Plan("{ within: 0.5 % of reading, still to come: 0.2 % of reading, over: 1 s, give up after: 2.3 s }")
        );
        world.Until(w => w.Act is SettleAct);
        var drop = world.Plan.Bench.Channels.Single(c => c.Role == ChannelRole.ReferenceShuntDrop).InstrumentId;
        var begun = world.State.Progress.Since;
        world.Until(w =>
        {
            // A gap shorter than what trips, in the first of the two windows that are kept.
            if (w.Machine.Now - begun >= TimeSpan.FromSeconds(0.4) && w.Machine.Now - begun < TimeSpan.FromSeconds(1.2))
                w.Silent.Add(drop);
            else
                w.Silent.Remove(drop);
            return w.State.Progress.Stage == ActStage.Holding || w.Act is not SettleAct;
        });
        Assert.False(world.State.Progress.HasSettled);
        Assert.EndsWith(
            " Too few readings without a gap to say what is still to come.",
            world.State.Progress.Words,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Auxiliary_volts_are_waited_for_where_that_output_is_loaded()
    {
        var plan = SomePlan.Long(
            """
              - energise: { mode: constant current }
              - auxiliary load: { at: [50 %] }
              - cool down: { for: 1 min }
            """
        );
        Assert.True(plan.IsRunnable, string.Join('\n', plan.Findings));
        var world = new HandFedWorld(plan).Until(w => w.Act is SettleAct { Point.State.Auxiliary.IsEmpty: false });
        var begun = world.State.Progress.Since;
        world.Reads = (channel, value) =>
            (
                channel.Role == ChannelRole.AuxiliaryVolts
                    ? value * (1 - 0.1 * Math.Exp(-(world.Machine.Now - begun).TotalSeconds / 10))
                    : value,
                IndicationFlag.Good
            );
        world.Until(w => w.Act is not SettleAct);
        // Within 0.5 % over 2 s: the volts must change by less than that in a window, which 10 %·exp(−t/10 s) does after 12 s or so.
        Assert.InRange((world.Machine.Now - begun).TotalSeconds, 8, 25);
        Assert.True(world.State.Progress.HasSettled);

        var never = new HandFedWorld(plan).Until(w => w.Act is SettleAct { Point.State.Auxiliary.IsEmpty: false });
        never.Reads = (channel, value) =>
            (
                channel.Role == ChannelRole.AuxiliaryVolts
                    ? value * (1 + 0.01 * (never.Machine.Now.TotalSeconds % 8))
                    : value,
                IndicationFlag.Good
            );
        never.Until(w => w.Act is not SettleAct);
        Assert.False(never.State.Progress.HasSettled);
        Assert.Contains("V of the auxiliary output", never.State.Progress.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Point_is_judged_by_the_slow_meter_of_two_and_by_no_channel_of_an_output_that_is_not_loaded()
    {
        var world = new HandFedWorld(Plan(Rule)).Until(w =>
            w.Act is SettleAct && w.State.Progress.Readings.Length > 40
        );
        string[] judging =
        [
            .. world
                .State.Progress.Readings.Select(r => world.Plan.Bench.Channels[r.Channel].Name)
                .Distinct(StringComparer.Ordinal),
        ];
        Assert.Equal(["stud volts", "reference drop", "unit drop"], judging);
    }

    [Fact]
    public void Points_of_the_auxiliary_output_are_judged_by_its_channels_too()
    {
        var plan = SomePlan.Long(
            """
              - energise: { mode: constant current }
              - auxiliary load: { at: [50 %] }
              - cool down: { for: 1 min }
            """
        );
        var world = new HandFedWorld(plan).Until(w => w.Act is MeasureAct && w.State.Progress.Readings.Length > 30);
        var roles = world.State.Progress.Readings.Select(r => plan.Bench.Channels[r.Channel].Role).ToHashSet();
        Assert.Contains(ChannelRole.AuxiliaryVolts, roles);
        Assert.Contains(ChannelRole.AuxiliaryFrequency, roles);
        Assert.DoesNotContain(ChannelRole.UnitTemperature, roles);
    }

    [Fact]
    public void Readings_are_kept_for_two_windows()
    {
        var world = new HandFedWorld(Plan(Rule)).Until(w => w.Act is SettleAct);
        world.For(TimeSpan.FromSeconds(4.5));
        var kept = world.State.Progress.Readings;
        Assert.InRange((kept[^1].At - kept[0].At).TotalSeconds, 3.9, 4.01);
    }

    [Fact]
    public void Settled_point_is_held_for_its_time_and_then_measured_by_as_many_readings_as_the_profile_says()
    {
        var world = new HandFedWorld(Plan(Rule)).Until(w => w.State.Progress.Stage == ActStage.Holding);
        var held = world.Machine.Now;
        world.Until(w => w.Act is MeasureAct);
        Assert.Equal(1, (world.Machine.Now - held).TotalSeconds, 0.01);
        world.Until(w => w.Act is not MeasureAct);
        var point = world.Machine.Entries.OfType<PointMeasured>().Single();
        world.UntilClosed();
        var index = world.Plan.Bench.Channels.Index().Single(c => c.Item.Name == "stud volts").Index;
        var counted = world
            .Machine.Entries.OfType<Scanned>()
            .SelectMany(s => s.Readings)
            .Count(r => r.Channel == index && r.At >= point.From && r.At <= point.To);
        Assert.Equal(10, counted);
        Assert.Equal("", world.Machine.Entries.OfType<StepEnded>().Single(e => e.Step == point.Step).Remark);
    }

    [Fact]
    public void Volts_that_are_expected_are_believed_after_five_readings_in_a_row()
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is ExpectVoltsAct);
        var turns = world.Machine.Turns.Count;
        world.Until(w => w.Act is not ExpectVoltsAct);
        var index = world.Plan.Bench.Channels.Index().Single(c => c.Item.Role == ChannelRole.StudVolts).Index;
        var read = world
            .Machine.Turns.Skip(turns)
            .Select(t => t.Input)
            .OfType<ReadingsArrived>()
            .SelectMany(r => r.Readings)
            .Count(r => r.Channel == index);
        Assert.Equal(5, read);
    }

    [Fact]
    public void Where_only_a_fast_meter_reads_the_studs_the_point_is_judged_by_it()
    {
        var plan = Plan("{ within: 0.5 % of reading, over: 2 s, give up after: 30 s }");
        var channels = plan.Bench.Channels.Where(c => c.Name != "stud volts");
        var world = new HandFedWorld(plan with { Bench = plan.Bench with { Channels = [.. channels] } });
        world.Until(w => w.Act is MeasureAct && w.State.Progress.Readings.Length > 20);
        Assert.Contains(
            world.State.Progress.Readings,
            r => world.Plan.Bench.Channels[r.Channel].Name == "stud volts fast"
        );
        Assert.Equal(Outcome.Complete, world.UntilClosed().Machine.Closed!.Outcome);
    }
}
