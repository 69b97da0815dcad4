using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Loads;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SystemTests.Stack;

/// <summary>Heat runs, sudden loads, auxiliary loads and cool-downs through the whole stack; expected values from the world's parameters.</summary>
public sealed class LongStepTests
{
    private const string Head = """
        format: 1
        profile: Long steps
        revision: 1
        for: dc welding generator
        average: 10 readings
        settle: { within: 0.5 % of reading, or volts within: 20 mV, or amperes within: 0.3 A, over: 2 s, give up after: 60 s }
        decision: { rule: simple acceptance, coverage: 95 % }
        trip:
          output current: above 115 % of rated current
          output voltage: above 85 V
          unit temperature: above 155 °C
          bank outlet temperature: above 130 °C
          lug temperature: above 90 °C
          reference shunt temperature: above 90 °C
          auxiliary voltage: below 80 % of rated auxiliary voltage or above 115 % of rated auxiliary voltage
          auxiliary current: above 48 A
          auxiliary frequency: below 90 % of rated frequency or above 108 % of rated frequency
        steps:

        """;

    private static readonly Lazy<StackRun> Whole = new(() =>
        StackRun.Workshop(StackRun.Shipped("heat-run-and-auxiliary"))
    );

    private static GroupResult Group(StackRun run, GroupKind kind) =>
        run.Record.Groups.First(g => g.Group.Kind == kind);

    private static string Steps(string steps) =>
        Head + string.Join('\n', steps.Split('\n').Select(l => "  " + l)) + "\n";

    [Fact]
    public void The_shipped_profile_runs_to_its_end_and_leaves_everything_off()
    {
        var run = Whole.Value;
        Assert.Equal((Outcome.Complete, BankEnd.Off), (run.Closed.Outcome, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
        Assert.Equal(OverallVerdict.Pass, run.Record.Overall.Verdict);
        Assert.All(run.Record.Judged, j => Assert.NotNull(j.Judgement.Estimate));
    }

    [Fact]
    public void No_ten_minutes_of_a_heat_run_hold_more_load_than_its_duty_cycle()
    {
        var heat = Group(Whole.Value, GroupKind.HeatRun).Heat!;
        Assert.InRange(heat.WorstDuty, 0.57, 0.60);
    }

    [Fact]
    public void A_heat_run_ends_in_equilibrium_and_names_the_time_constant_of_the_winding()
    {
        var heat = Group(Whole.Value, GroupKind.HeatRun).Heat!;
        Assert.Equal(Verdict.Pass, heat.Equilibrium!.Verdict);
        Assert.InRange(heat.Length, TimeSpan.FromMinutes(70), TimeSpan.FromHours(3));
        var warm = Assert.IsType<WarmUpFound>(heat.WarmUp).Curve;
        // Ends of equal cycles lie on an exponential of the winding's own time constant, 840 s in the world.
        Assert.Equal(840, warm.TimeConstantSeconds.Value, 0.1 * 840);
    }

    [Fact]
    public void A_heat_run_keeps_no_more_than_its_window_asks()
    {
        var (most, loads) = (0, 0);
        var profile = Steps(
            """
            - energise: { mode: constant current }
            - heat run: { at: 180 A, at most: 4 h, equilibrium: { within: 0.1 K, over: 60 min } }
            - cool down: { for: 1 s }
            """
        );
        using var run = StackRun.Workshop(
            profile,
            async r =>
            {
                while (r.Engine.State.Phase != RunPhase.Closed)
                {
                    most = Math.Max(most, r.Engine.State.Heat?.Seconds.Length ?? 0);
                    loads = Math.Max(loads, r.Engine.State.Heat?.Loads.Length ?? 0);
                    await r.Wait(30);
                }
            }
        );
        Assert.Equal(Outcome.Complete, run.Closed.Outcome);
        Assert.InRange(most, 61, 80);
        Assert.InRange(loads, 0, 4);
    }

    [Theory]
    [InlineData("no load", 0.0)]
    [InlineData("control at minimum", 30.0)]
    public void The_off_part_is_what_it_was_named(string offPart, double amperes)
    {
        var off = new List<double>();
        var profile = Steps(
            $$"""
            - energise: { mode: constant current }
            - heat run: { at: 200 A, duty cycle: 50 %, off part: {{offPart}}, at most: 25 min }
            - cool down: { for: 1 s }
            """
        );
        using var run = StackRun.Workshop(
            profile,
            async r =>
            {
                while (r.Engine.State.Phase != RunPhase.Closed)
                {
                    // The control takes a moment to come down.
                    var state = r.Engine.State;
                    var isResting = state.Acts.ElementAtOrDefault(state.Act) is HeatRestAct;
                    if (isResting && r.Now - state.Progress.Since > TimeSpan.FromSeconds(2))
                        off.Add(r.Bench.Truth.Amperes);
                    await r.Wait(1);
                }
            }
        );
        Assert.Equal(Outcome.Complete, run.Closed.Outcome);
        Assert.True(off.Count > 400, $"{off.Count} seconds of off part");
        Assert.All(off, a => Assert.Equal(amperes, a, 2.0));
        Assert.Contains(
            run.Entries.OfType<Remarked>(),
            r => r.Text.Contains("Time limit of 25 min", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void A_person_who_turns_the_control_late_is_told_so_and_the_next_load_waits_for_it()
    {
        var profile = Steps(
            """
            - energise: { mode: constant current }
            - heat run: { at: 200 A, duty cycle: 50 %, off part: no load, at most: 35 min }
            - cool down: { for: 1 s }
            """
        );
        using var run = StackRun.Workshop(profile, hand: TimeSpan.FromSeconds(40));
        Assert.Equal(Outcome.Complete, run.Closed.Outcome);
        var group = Group(run, GroupKind.HeatRun);
        // 290 s of on part and 40 s until the control is down: 330 s of 600 s; the rest keeps any ten minutes from holding more.
        Assert.InRange(group.Heat!.WorstDuty, 0.54, 0.56);
        Assert.Contains(group.Findings, f => f.Contains("the load came off late", StringComparison.Ordinal));
        Assert.DoesNotContain(
            Group(Whole.Value, GroupKind.HeatRun).Findings,
            f => f.Contains("the load came off late", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void A_winding_that_grows_too_hot_takes_the_load_off()
    {
        var profile = Steps(
                """
                - energise: { mode: constant current }
                - heat run: { at: 230 A, at most: 3 h }
                - cool down: { for: 1 s }
                """
            )
            .Replace("unit temperature: above 155 °C", "unit temperature: above 60 °C", StringComparison.Ordinal);
        using var run = StackRun.Workshop(profile);
        Assert.Equal((Outcome.Tripped, "TEMP", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Contains("winding", run.Closed.Detail, StringComparison.Ordinal);
        var rise = run.Record.Groups.Single(g => g.Group.Kind == GroupKind.HeatRun);
        Assert.Null(rise.Heat!.Rise);
    }

    [Theory]
    [InlineData("logger-1")]
    [InlineData("power-1")]
    public void A_silent_logger_takes_the_load_off(string device)
    {
        var profile = Steps(
            """
            - energise: { mode: constant current }
            - heat run: { at: 200 A, at most: 1 h }
            - cool down: { for: 1 s }
            """
        );
        using var run = StackRun.Workshop(
            profile,
            async r =>
            {
                await r.UntilAtLoad(190);
                r.Strike("instrument-silent", device);
            }
        );
        Assert.Equal((Outcome.Tripped, "SILENT", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
    }

    [Fact]
    public void A_sudden_load_dips_as_the_source_does_and_recovers_with_its_time_constant()
    {
        var result = Group(Whole.Value, GroupKind.Transient);
        var transient = result.Transient!;
        var world = WorldFile.Workshop().Control;
        var after = result.Points[0].Amperes!.Estimate.Value;
        var bank = result.Points[0].Volts!.Estimate.Value / after;
        var lag = world.Transient!.Ohms;
        // Ohm: at once the volts are shared by slope, lag and load; once the control has followed, by slope and load alone.
        var dip = after * bank * lag / (bank + world.SlopeOhms + lag);
        var response = transient.Response!;
        Assert.Equal(dip / 29, -response.Dip.Value, 0.06 * dip / 29);
        // The lag slows itself a little: τ·(R + r)/R. Inside the band after that times ln(dip/band).
        var tau = world.Transient.Seconds * (bank + world.SlopeOhms + lag) / (bank + world.SlopeOhms);
        Assert.Equal(tau * Math.Log(dip / transient.Band), response.RecoverySeconds!.Value.Value, 0.02);
        Assert.InRange(transient.Seconds.Length, 500, 900);
    }

    [Fact]
    public void Auxiliary_volts_and_hertz_droop_as_the_world_says()
    {
        var group = Group(Whole.Value, GroupKind.Auxiliary);
        var world = WorldFile.Workshop();
        double Judged(Measurand m) => group.Judged.Single(j => j.Limit.Measurand == m).Judgement.Estimate!.Value.Value;
        // Regulation: resistance of the winding over that of the load, and the speed lost on the way.
        var siemens = world.Auxiliary!.ElementOhms.Sum(r => 1 / r);
        var droop = Judged(Measurand.FrequencyDroop);
        var speed = 1 / (1 - droop * world.Engine.RatedRpm / world.Engine.NoLoadRpm);
        Assert.Equal(
            speed * (1 + world.Auxiliary.SourceOhms * siemens) - 1,
            Judged(Measurand.VoltageRegulation),
            0.003
        );
        // Governor: droop in proportion to shaft power, 60 rpm at 18 kW.
        Assert.Equal(9900.0 / world.Auxiliary.Efficiency / 18000 * 60 / 1800, droop, 0.002);
    }

    [Fact]
    public void A_sweep_waits_as_long_as_the_unit_takes_to_settle()
    {
        // At first order a change of rate within 0.5 % over 2 s leaves 0.5 %·τ/2 s: 1.5 % at 6 s (textbook law of the exponential).
        var slow = Sweep(6, "");
        // Whatever the noise, no more is left than the profile allows.
        var followed = new ulong[] { 1, 2, 3, 4, 5, 6 }
            .Select(seed => Sweep(6, "still to come: 0.5 % of reading, ", seed))
            .MaxBy(s => s.Error);
        var quick = Sweep(0.12, "still to come: 0.5 % of reading, ");
        Assert.True(slow.Error > 0.009, $"{slow.Error:P2} of error where nobody follows");
        Assert.True(followed.Error < 0.005, $"{followed.Error:P2} of error where the unit is followed");
        Assert.True(quick.Error < 0.003, $"{quick.Error:P2} of error of a quick unit");
        Assert.True(quick.Time < followed.Time / 3, $"{quick.Time} against {followed.Time}");
    }

    private static (double Error, TimeSpan Time) Sweep(double settlingSeconds, string key, ulong seed = 1)
    {
        var profile = Steps(
                """
                - energise: { mode: constant current }
                - shunt sweep: { at: [100 A, 200 A, 290 A], both ways: no, read panel: no }
                - cool down: { for: 1 s }
                """
            )
            .Replace(
                "over: 2 s, give up after: 60 s",
                $"{key}over: 2 s, give up after: 10 min",
                StringComparison.Ordinal
            );
        var world = WorldFile.Workshop();
        using var run = StackRun.Workshop(
            profile,
            world: world with
            {
                Control = world.Control with
                {
                    SettlingSeconds = settlingSeconds,
                    GainErrorPercent = 0,
                    OffsetPercent = 0,
                    HandPercent = 0,
                    AmperesPerVolt = 0,
                },
                UnitShunt = world.UnitShunt with { RatioErrorPercent = 0 },
            },
            seed: seed
        );
        Assert.True(run.Closed.Outcome == Outcome.Complete, run.Closed.ToString());
        var points = run.Record.Groups.Single().Points.Where(p => !p.Step.IsZeroReading).ToArray();
        return (
            points.Max(p => Math.Abs(p.Amperes!.Estimate.Value / p.Step.State.Setting.Value - 1)),
            points[^1].Window!.To - points[0].Window!.From
        );
    }

    [Fact]
    public void A_stop_under_auxiliary_load_takes_both_loads_off_and_confirms_it_by_the_power_meter()
    {
        var before = ElementSet.None;
        var profile = Steps(
            """
            - energise: { mode: constant current }
            - weld and auxiliary load
            - cool down: { for: 1 s }
            """
        );
        using var run = StackRun.Workshop(
            profile,
            async r =>
            {
                await r.UntilAtLoad(95);
                before = new ElementSet(r.Bench.ElementsOn);
                r.Engine.Stop("a test", "enough");
            }
        );
        Assert.True(before.Mask >> 8 != 0 && (before.Mask & 0xFF) != 0, $"{before} on");
        Assert.Equal((Outcome.Stopped, BankEnd.Off), (run.Closed.Outcome, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Fact]
    public void A_run_may_end_with_auxiliary_and_weld_load()
    {
        using var run = StackRun.Workshop(
            Steps(
                """
                - energise: { mode: constant current }
                - weld and auxiliary load
                - cool down: { for: 1 s }
                """
            )
        );
        Assert.Equal((Outcome.Complete, BankEnd.Off), (run.Closed.Outcome, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Fact]
    public void A_stuck_auxiliary_contactor_is_named()
    {
        var profile = Steps(
            """
            - energise: { mode: constant current }
            - auxiliary load: { at: [100 %, 0 %] }
            - cool down: { for: 1 s }
            """
        );
        using var run = StackRun.Workshop(
            profile,
            async r =>
            {
                await r.Until(s => s.Elements.Count == 4);
                r.Strike("element-stuck-closed", element: 9);
            }
        );
        Assert.Equal((Outcome.Tripped, "STUCK"), (run.Closed.Outcome, run.Closed.Code));
        Assert.Equal(BankEnd.OffNotConfirmed, run.Closed.Bank);
        Assert.Contains("10", run.Closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_cool_down_by_temperature_lasts_as_long_as_the_law_of_cooling_says()
    {
        var run = Whole.Value;
        var step = run.Plan.Steps.OfType<CoolDownStepPlan>().First();
        var began = run.Entries.OfType<StepStarted>().Single(s => s.Step == step.Number).At;
        var ended = run.Entries.OfType<StepEnded>().Single(s => s.Step == step.Number);
        Assert.Equal("", ended.Remark);
        double Winding(TimeSpan at) =>
            run
                .Entries.OfType<Scanned>()
                .SelectMany(s => s.Readings)
                .Where(r => run.Plan.Bench.Channels[r.Channel].Name == "winding")
                .First(r => r.At >= at)
                .Value;
        var air = 23.0;
        var hot = Winding(began);
        // Newton's law of cooling with the winding's 840 s; three minutes are the least, and the engine still turns.
        var wait = Math.Max(180, 840 * Math.Log((hot - air) / (60 - air)));
        Assert.Equal(wait, (ended.At - began).TotalSeconds, 0.05 * wait + 15);
    }

    [Fact]
    public void A_cool_down_that_cannot_get_there_gives_up_and_says_so()
    {
        var profile = Steps(
            """
            - energise: { mode: constant current }
            - no load
            - cool down: { to: { unit temperature: 20 °C }, at most: 4 min }
            """
        );
        using var run = StackRun.Workshop(profile);
        Assert.Equal(Outcome.Complete, run.Closed.Outcome);
        var remark = run.Entries.OfType<Remarked>().Last().Text;
        Assert.Contains("given up after 4", remark, StringComparison.Ordinal);
        Assert.Contains("unit temperature is 23", remark, StringComparison.Ordinal);
    }
}
