using LoadTest.Analysis.Heat;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Heat runs: temperatures are taken, the duty cycle kept, and the run ended warm or at its limit.</summary>
public sealed class HeatTests
{
    private static readonly TimeSpan Scan = RunMachine.ScanPeriod;

    private static RunPlan Plan(string heat, Func<HeatPlan, HeatPlan>? change = null)
    {
        var plan = SomePlan.Long(
            $$"""
              - energise: { mode: constant current }
              - heat run: { {{heat}} }
              - cool down: { for: 3 min }
            """
        );
        Assert.True(plan.IsRunnable, string.Join('\n', plan.Findings));
        return plan with
        {
            Steps =
            [
                .. plan.Steps.Select(s =>
                    s is PointStep { Heat: { } h } point ? point with { Heat = change?.Invoke(h) ?? h } : s
                ),
            ],
        };
    }

    private static HandFedWorld Heating(RunPlan plan) => new HandFedWorld(plan).Until(w => w.Act is HeatAct);

    private static int StepOf(RunPlan plan) => plan.Steps.OfType<PointStep>().Single(p => p.Heat is not null).Number;

    private static string Said(HandFedWorld world) =>
        world
            .Machine.Entries.OfType<Remarked>()
            .Single(r => r.Text.StartsWith("Heat run, ", StringComparison.Ordinal))
            .Text;

    private static string[] Words(PointMeasured[] points) => [.. points.Select(p => p.Words)];

    private static PointMeasured[] Points(HandFedWorld world) =>
        [.. world.Machine.Entries.OfType<PointMeasured>().Where(p => p.Step == StepOf(world.Plan))];

    /// <summary>Shortened: the grammar asks for an hour at least.</summary>
    private static HeatPlan Within(HeatPlan heat, double kelvinsPerHour, double minutes) =>
        heat with
        {
            Equilibrium = new EquilibriumRule(kelvinsPerHour, TimeSpan.FromMinutes(minutes)),
        };

    [Fact]
    public void Without_a_duty_cycle_a_temperature_is_taken_each_minute_until_the_time_is_over()
    {
        var world = Heating(Plan("at: 180 A, at most: 10 min"));
        var begun = world.State.Heat!.Begun;
        Assert.Equal(begun, world.State.Heat!.OnSince);
        world.UntilClosed();

        var points = Points(world);
        // At once, after each minute, and when it is over: that of the tenth minute and the end are one.
        Assert.Equal(
            Enumerable.Range(0, 11).Select(k => begun + Scan + TimeSpan.FromMinutes(k)),
            points[..^1].Select(p => p.At),
            (a, b) => (a - b).Duration() <= Scan
        );
        Assert.All(points[..^1], p => Assert.Equal((p.At - TimeSpan.FromSeconds(10), p.At), (p.From, p.To)));
        Assert.All(points[..^1], p => Assert.False(p.HasSettled));
        Assert.Equal(
            Enumerable.Range(1, 11).Select(k => $"Temperature {k} of the heat run."),
            Words(points[..^1]),
            StringComparer.Ordinal
        );
        Assert.True(points[^1].HasSettled);
        Assert.Equal(
            $"Heat run, step {StepOf(world.Plan)}: Time limit of 10 min reached. No equilibrium was asked for.",
            Said(world)
        );
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
    }

    [Fact]
    public void The_hot_point_is_measured_with_the_load_still_on_and_nothing_of_the_heat_run_is_left_behind()
    {
        var world = Heating(Plan("at: 180 A, at most: 10 min"));
        var elements = world.Contacts;
        world.Until(w => w.Act is MeasureAct);
        Assert.Equal(elements, world.Contacts);
        Assert.Null(world.State.Heat);
    }

    [Fact]
    public void A_temperature_is_the_mean_of_the_last_ten_seconds()
    {
        var world = Heating(Plan("at: 180 A, at most: 10 min"));
        // A ramp of 1 K/min: ten seconds of readings lie 5 s back in the mean.
        world.Unit.Celsius = _ => 25 + world.Machine.Now.TotalMinutes;
        world.Until(w => w.State.Heat!.Cycles == 4);
        var taken = world.State.Heat!;
        Assert.Equal(3, taken.Celsius.Length);
        var at = TimeSpan.FromSeconds(taken.Seconds[^1]);
        Assert.Equal(25 + (at - TimeSpan.FromSeconds(5)).TotalMinutes, taken.Celsius[^1], 0.1 / 60);
        Assert.Equal((0, 0), taken.Mean);
    }

    [Theory]
    [InlineData("no load")]
    [InlineData("control at minimum")]
    public void Load_stands_for_the_duty_cycle_less_the_time_to_switch_and_rests_until_it_may_stand_again(string off)
    {
        var world = Heating(Plan($"at: 200 A, duty cycle: 50 %, off part: {off}, at most: 45 min"));
        var loads = new List<LoadSpan>();
        while (world.State.Step == 1 && loads.Count < 3)
        {
            var from = world.State.Heat!.OnSince;
            world.Until(w => w.Act is HeatRestAct);
            loads.Add(new LoadSpan(from, world.State.Progress.Since));
            Assert.Equal(off == "no load" ? 0 : 30, Math.Round(world.Unit.True(ChannelRole.BankAmperes, 1)));
            if (loads.Count < 3)
            {
                world.Until(w => w.Act is HeatAct);
                // Kept over two cycles, and none older.
                Assert.Equal(
                    loads.TakeLast(2).Select(l => l.From),
                    world.State.Heat!.Loads.TakeLast(2).Select(l => l.From)
                );
                Assert.DoesNotContain(world.State.Heat!.Loads, l => l.To < world.Machine.Now - 2.5 * DutyCycle.Cycle);
            }
        }
        var worst = DutyCycle.Worst(loads, DutyCycle.Cycle);
        Assert.InRange(worst, 0.46, 0.5);
        Assert.All(loads, l => Assert.InRange((l.To - l.From).TotalSeconds, 290, 300));
        Assert.All(
            loads.Zip(loads.Skip(1)),
            p => Assert.InRange((p.Second.From - p.First.From).TotalSeconds, 580, 610)
        );
    }

    [Fact]
    public void With_a_duty_cycle_a_temperature_is_taken_at_the_end_of_each_on_part_and_the_last_rest_is_kept()
    {
        var world = Heating(Plan("at: 200 A, duty cycle: 50 %, off part: no load, at most: 25 min"));
        world.UntilClosed();

        var points = Points(world);
        Assert.Equal(
            ["Temperature 1 of the heat run.", "Temperature 2 of the heat run.", "Temperature 3 of the heat run."],
            Words(points[..^1]),
            StringComparer.Ordinal
        );
        Assert.True(points[^1].HasSettled);
        var entries = world.Machine.Entries.ToList();
        var measured = entries.LastIndexOf(points[^1]);
        var ended = entries.FindIndex(e => e is StepEnded ended && ended.Step == StepOf(world.Plan));
        // After the hot point the load goes off, and the step lasts until the duty cycle would have allowed it again.
        Assert.Contains(entries[measured..ended], e => e is SwitchIntended { Elements.IsEmpty: true });
        Assert.InRange((entries[ended].At - points[^1].At).TotalSeconds, 290, 310);
        // On parts end after some 5, 15 and 25 min less the time to switch; a fourth would end at 34 min.
        Assert.StartsWith(
            $"Heat run, step {StepOf(world.Plan)}: Time limit of 25 min leaves no further on part. ",
            Said(world),
            StringComparison.Ordinal
        );
        Assert.InRange(
            points[^1].At - world.Machine.Entries.OfType<SwitchIntended>().First(s => !s.Elements.IsEmpty).At,
            TimeSpan.FromMinutes(24),
            TimeSpan.FromMinutes(25)
        );
    }

    [Fact]
    public void A_limit_within_the_first_on_part_ends_it_there()
    {
        var world = Heating(Plan("at: 200 A, duty cycle: 60 %, off part: no load, at most: 5 min"));
        var begun = world.State.Heat!.Begun;
        world.Until(w => w.Act is MeasureAct);
        Assert.InRange(world.Machine.Now - begun, TimeSpan.FromMinutes(5), TimeSpan.FromMinutes(5.2));
        Assert.Contains("Time limit of 5 min reached.", Said(world), StringComparison.Ordinal);
    }

    [Fact]
    public void A_unit_that_stays_at_its_temperature_is_in_equilibrium_as_soon_as_the_window_is_full()
    {
        var world = Heating(Plan("at: 180 A, at most: 3 h", h => Within(h, 2, 4)));
        world.Unit.Celsius = _ => 80;
        // The first temperature is taken a scan after the load is on, so that the window is full with the fifth after it.
        world.UntilClosed();

        Assert.StartsWith(
            $"Heat run, step {StepOf(world.Plan)}: In equilibrium after 5 min: ",
            Said(world),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_unit_that_goes_on_warming_runs_to_its_limit_and_the_words_say_how_fast()
    {
        var world = Heating(Plan("at: 180 A, at most: 8 min", h => Within(h, 2, 4)));
        world.Unit.Celsius = _ => 30 + 60 * world.Machine.Now.TotalHours;
        world.UntilClosed();

        Assert.StartsWith(
            $"Heat run, step {StepOf(world.Plan)}: Time limit of 8 min reached. ",
            Said(world),
            StringComparison.Ordinal
        );
        Assert.Contains("+60", Said(world), StringComparison.Ordinal);
    }

    [Fact]
    public void No_more_temperatures_are_kept_than_the_window_and_a_fifth()
    {
        var world = Heating(Plan("at: 180 A, at most: 60 min", h => Within(h, 2, 5)));
        world.Unit.Celsius = _ => 30 + 60 * world.Machine.Now.TotalHours;
        world.Until(w => w.State.Heat!.Cycles == 12);
        Assert.Equal(7, world.State.Heat!.Seconds.Length);
        Assert.Equal(world.State.Heat.Seconds.Length, world.State.Heat.Celsius.Length);
        Assert.Equal(6 * 60, world.State.Heat.Seconds[^1] - world.State.Heat.Seconds[0], 1);
    }

    [Fact]
    public void A_first_look_before_any_temperature_was_read_takes_none_and_goes_on()
    {
        var world = Heating(Plan("at: 180 A, at most: 5 min", h => Within(h, 2, 4)));
        var logger = world.Plan.Bench.Channels.Single(c => c.Role == ChannelRole.UnitTemperature).InstrumentId;
        world.Silent.Add(logger);
        world.Until(w => w.State.Heat!.Cycles == 1);
        Assert.Empty(world.State.Heat!.Celsius);
        Assert.IsType<HeatAct>(world.Act);
        world.Silent.Clear();
        world.UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
    }

    [Fact]
    public void A_heat_run_that_is_interrupted_by_a_trip_goes_off_like_any_other_step()
    {
        var world = Heating(Plan("at: 180 A, at most: 30 min"));
        world.For(TimeSpan.FromMinutes(3));
        world.Unit.Celsius = r => r == ChannelRole.UnitTemperature ? 156 : 25;
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, "TEMP"), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
    }

    [Fact]
    public void Each_part_is_guarded_by_the_limits_of_its_own_state()
    {
        var plan = Plan("at: 200 A, duty cycle: 50 %, off part: control at minimum, at most: 25 min");
        var point = plan.Steps.OfType<PointStep>().Single(p => p.Heat is not null);
        var world = Heating(plan);
        world.For(TimeSpan.FromSeconds(5));
        Assert.Equal(0.25 * point.State.PredictedVolts.Value, world.State.LeastVolts);
        Assert.Equal(point.State.Trips.Volts, world.State.Limits!.Volts);
        world.Until(w => w.Act is HeatRestAct);
        world.For(TimeSpan.FromSeconds(5));
        Assert.Equal(0.25 * point.Heat!.Off!.PredictedVolts.Value, world.State.LeastVolts);
        Assert.Equal(point.Heat.Off.Trips.Volts, world.State.Limits!.Volts);
        Assert.NotEqual(point.State.PredictedVolts, point.Heat.Off.PredictedVolts);
        world.Until(w => w.Act is HeatAct);
        world.For(TimeSpan.FromSeconds(5));
        Assert.Equal(0.25 * point.Heat.Again!.PredictedVolts.Value, world.State.LeastVolts);
    }

    [Fact]
    public void Nothing_of_a_degree_is_a_temperature_too()
    {
        var world = Heating(Plan("at: 180 A, at most: 5 min"));
        world.Unit.Celsius = _ => 0;
        world.Until(w => w.State.Heat!.Cycles == 2);
        Assert.NotEmpty(world.State.Heat!.Celsius);
        Assert.All(world.State.Heat.Celsius, c => Assert.Equal(0, c));
    }

    [Fact]
    public void The_first_on_part_and_its_rest_are_as_long_as_the_duty_cycle_says_to_the_scan()
    {
        var world = Heating(Plan("at: 200 A, duty cycle: 50 %, off part: no load, at most: 45 min"));
        var on = world.State.Heat!.OnSince;
        world.Until(w => w.State.Heat!.Cycles == 1);
        // Half of ten minutes, less ten seconds for switching.
        Assert.Equal(290, (world.Machine.Now - on).TotalSeconds, 0.01);
        world.Until(w => w.Act is HeatRestAct);
        var (rested, due) = (world.Machine.Now, world.State.Progress.Due);
        Assert.True(due > rested);
        world.Until(w => w.Act is not HeatRestAct);
        Assert.InRange((world.Machine.Now - due).TotalSeconds, 0, 0.0999);
    }
}
