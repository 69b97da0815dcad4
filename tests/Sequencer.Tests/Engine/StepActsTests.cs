using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests.Engine;

public sealed class StepActsTests
{
    private static readonly PointStep Loaded = SomePlan
        .Full("constant current")
        .Steps.OfType<PointStep>()
        .First(p => p.State.Switching.Length >= 1 && !p.State.Elements.IsEmpty);

    private static RunState Live(ElementSet elements, double setting) =>
        new()
        {
            Phase = RunPhase.Stepping,
            Mode = "constant current",
            Setting = new Quantity(setting, Unit.Ampere),
            Elements = elements,
            IsEngineRunning = true,
            IsOutputEnabled = true,
            IsScanning = true,
            Limits = Loaded.State.Passing,
        };

    private static ImmutableArray<Act> Acts(TransitionOrder order, double setting)
    {
        var point = Loaded with { State = Loaded.State with { Order = order } };
        var from = ElementSet.None;
        Assert.Equal(1, new ElementSet(point.State.Switching[0].Mask ^ from.Mask).Count);
        return StepActs.For(SomePlan.Full("constant current"), point, Live(from, setting));
    }

    private static string Order(ImmutableArray<Act> acts) =>
        string.Join(
            ' ',
            acts.Select(a =>
                    a switch
                    {
                        AskAct { Action: HandAction.SetControl, Setting: { } s } => $"{s.Value:0}A",
                        SwitchAct => "switch",
                        _ => "",
                    }
                )
                .Where(w => w.Length > 0)
                .Aggregate(
                    new List<string>(),
                    (words, w) =>
                    {
                        if (words.Count == 0 || words[^1] != w)
                            words.Add(w);
                        return words;
                    }
                )
        );

    [Fact]
    public void Setting_first_turns_the_control_and_then_switches() =>
        Assert.Equal(
            $"{Loaded.State.Setting.Value:0}A switch",
            Order(Acts(TransitionOrder.SettingFirst, Loaded.State.Setting.Value + 1))
        );

    [Fact]
    public void Elements_first_switches_and_then_turns_the_control() =>
        Assert.Equal($"switch {Loaded.State.Setting.Value:0}A", Order(Acts(TransitionOrder.ElementsFirst, 30)));

    [Fact]
    public void Through_minimum_turns_the_control_down_switches_and_turns_it_up_again() =>
        Assert.Equal($"30A switch {Loaded.State.Setting.Value:0}A", Order(Acts(TransitionOrder.ThroughMinimum, 200)));

    [Theory]
    [InlineData(TransitionOrder.SettingFirst)]
    [InlineData(TransitionOrder.ElementsFirst)]
    [InlineData(TransitionOrder.ThroughMinimum)]
    public void Passing_limits_guard_before_anything_moves_and_the_states_own_after(TransitionOrder order)
    {
        var acts = Acts(order, 200);

        Assert.Equal(new GuardAct(Loaded.State.Passing, TimeSpan.Zero), acts[0]);
        var own = Assert.IsType<GuardAct>(acts[^3]);
        Assert.Equal(Loaded.State.Trips, own.Limits);
        Assert.Equal(0.25 * Loaded.State.PredictedVolts.Value, own.LeastVolts);
        Assert.IsType<SettleAct>(acts[^2]);
        Assert.IsType<MeasureAct>(acts[^1]);
    }

    [Fact]
    public void Setting_that_stands_is_not_asked_for_again() =>
        Assert.DoesNotContain(
            Acts(TransitionOrder.SettingFirst, Loaded.State.Setting.Value),
            a => a is AskAct { Action: HandAction.SetControl }
        );

    [Fact]
    public void Elements_that_the_plan_does_not_lead_from_are_refused_as_a_disagreement()
    {
        var elsewhere = new ElementSet(0xFF).Except(Loaded.State.Elements);

        var error = Assert.Throws<InvalidOperationException>(() =>
            StepActs.For(SomePlan.Full("constant current"), Loaded, Live(elsewhere, 30))
        );
        Assert.Contains("plan and run disagree", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Point_with_the_engine_stopped_is_refused_as_a_disagreement()
    {
        var stopped = Live(ElementSet.None, 30) with { IsEngineRunning = false, IsOutputEnabled = false };

        Assert.Throws<InvalidOperationException>(() =>
            StepActs.For(SomePlan.Full("constant current"), Loaded, stopped)
        );
    }

    [Fact]
    public void Energising_with_the_output_still_live_unloads_first()
    {
        var plan = SomePlan.Full("constant current");
        var acts = StepActs.For(plan, plan.Steps[0], Live(Loaded.State.Elements, 200));

        var kinds = acts.Select(a => a.GetType()).ToList();
        Assert.True(kinds.IndexOf(typeof(ConfirmOffAct)) < kinds.IndexOf(typeof(DemandGateAct)));
        Assert.Equal(new SwitchAct(ElementSet.None), acts.OfType<SwitchAct>().First());
        Assert.DoesNotContain(acts, a => a is AskAct { Action: HandAction.StartEngine });
    }

    [Fact]
    public void Unloading_is_control_to_minimum_output_disabled_current_gone_elements_off_and_found_off()
    {
        var plan = SomePlan.Full("constant current");
        var acts = StepActs.For(plan, plan.Steps[^1], Live(Loaded.State.Elements, 200));

        Assert.Collection(
            acts,
            a => Assert.IsType<GuardAct>(a),
            a => Assert.Equal(30, Assert.IsType<AskAct>(a).Setting!.Value.Value),
            a => Assert.Equal(HandAction.DisableOutput, Assert.IsType<AskAct>(a).Action),
            a => Assert.IsType<AwaitNoCurrentAct>(a),
            a => Assert.Equal(ElementSet.None, Assert.IsType<SwitchAct>(a).To),
            a => Assert.IsType<ConfirmOffAct>(a),
            a => Assert.True(Assert.IsType<FanAct>(a).IsOn),
            a => Assert.IsType<WaitAct>(a),
            a => Assert.False(Assert.IsType<FanAct>(a).IsOn),
            a => Assert.Equal(HandAction.StopEngine, Assert.IsType<AskAct>(a).Action)
        );
    }

    [Fact]
    public void Auxiliary_elements_go_off_before_the_weld_current_is_waited_for()
    {
        var plan = SomePlan.Full("constant current");
        var weld = Loaded.State.Elements;
        var auxiliary = ElementSet.Of(plan.Bench.Bank.Elements.Length + 1);
        var acts = StepActs.For(plan, plan.Steps[^1], Live(weld.Union(auxiliary), 200));

        var kinds = acts.Select(a => a.GetType()).ToList();
        Assert.Equal(new SwitchAct(weld), acts[1]);
        Assert.True(kinds.IndexOf(typeof(AwaitNoCurrentAct)) > 1);
        Assert.Equal([weld, ElementSet.None], acts.OfType<SwitchAct>().Select(s => s.To));
    }

    [Fact]
    public void Run_that_ends_under_load_is_unloaded_and_the_engine_stopped()
    {
        var acts = StepActs.Ending(SomePlan.Full("constant current"), Live(Loaded.State.Elements, 200));

        Assert.Contains(acts, a => a is ConfirmOffAct);
        Assert.Equal(HandAction.StopEngine, Assert.IsType<AskAct>(acts[^1]).Action);
        Assert.Empty(StepActs.Ending(SomePlan.Full("constant current"), new RunState()));
    }

    [Fact]
    public void Mode_nobody_has_named_yet_needs_no_unloading_before_a_point()
    {
        var state = Live(ElementSet.None, 30) with { Mode = null };
        var acts = StepActs.For(SomePlan.Full("constant current"), Loaded, state);
        Assert.DoesNotContain(acts, a => a is ConfirmOffAct or AskAct { Action: HandAction.SelectMode });
    }

    [Fact]
    public void Setting_that_stands_is_not_asked_for_behind_the_elements_either() =>
        Assert.DoesNotContain(
            Acts(TransitionOrder.ElementsFirst, Loaded.State.Setting.Value),
            a => a is AskAct { Action: HandAction.SetControl }
        );

    [Fact]
    public void Path_that_does_not_end_at_the_planned_elements_is_refused_as_a_disagreement()
    {
        var first = ElementSet.Of(Loaded.State.Elements.Indices()[0]);
        var elsewhere = first.With(7 - first.Indices()[0]);
        var point = Loaded with { State = Loaded.State with { Switching = [first, elsewhere] } };
        Assert.Throws<InvalidOperationException>(() =>
            StepActs.For(SomePlan.Full("constant current"), point, Live(ElementSet.None, 200))
        );
    }

    [Fact]
    public void Point_that_reads_the_panel_asks_for_amperes_and_volts_between_settling_and_measuring()
    {
        var point = Loaded with { ReadPanel = true };
        var acts = StepActs.For(SomePlan.Full("constant current"), point, Live(ElementSet.None, 200));
        var asked = acts.OfType<AskAct>().Where(a => a.Kind == QuestionKind.Number).ToArray();
        Assert.Equal(
            [(HandAction.ReadPanelAmperes, Unit.Ampere), (HandAction.ReadPanelVolts, Unit.Volt)],
            asked.Select(a => (a.Action, a.Unit))
        );
        Assert.IsType<SettleAct>(acts[^4]);
        Assert.IsType<MeasureAct>(acts[^1]);
    }

    [Theory]
    [InlineData("constant current", "Turn the control to 30 A.")]
    [InlineData("constant voltage", "Turn the control to 16 V.")]
    public void Control_is_asked_for_in_the_unit_of_its_mode(string mode, string words)
    {
        var plan = SomePlan.Full(mode);
        var acts = StepActs.For(plan, plan.Steps[0], new RunState());
        Assert.Contains(acts.OfType<AskAct>(), a => a.Text == words);
    }

    [Theory]
    [InlineData(AskKind.Inspect, QuestionKind.Inspect, true)]
    [InlineData(AskKind.YesNo, QuestionKind.YesNo, false)]
    [InlineData(AskKind.Number, QuestionKind.Number, false)]
    [InlineData(AskKind.Adjust, QuestionKind.Do, true)]
    public void A_no_stops_the_run_where_something_is_to_be_done_or_in_order(
        AskKind kind,
        QuestionKind asked,
        bool stops
    )
    {
        var plan = SomePlan.Full("constant current");
        var step = new AskStep(1, "Look", kind, Unit.Volt, null, null, Some.Here);
        var act = Assert.IsType<AskAct>(StepActs.For(plan, step, new RunState())[^1]);
        Assert.Equal((asked, stops), (act.Kind, act.StopsOnNo));
    }

    [Fact]
    public void While_a_dead_output_is_rightly_dead_volts_may_be_five_below_nothing_and_amperes_anything_below()
    {
        var plan = SomePlan.Full("constant current");
        var passing = ((EnergiseStepPlan)plan.Steps[0]).Proving.Passing;
        Assert.True(passing.Volts.Lower > -5);
        var guard = StepActs.For(plan, plan.Steps[0], new RunState()).OfType<GuardAct>().First().Limits;
        Assert.Equal(new Band(-5, passing.Volts.Upper), guard.Volts);
        Assert.Equal(new Band(double.NegativeInfinity, passing.Amperes.Upper), guard.Amperes);
        Assert.Null(guard.Conductance);
    }

    [Fact]
    public void Fan_runs_before_the_first_element_of_the_proving_load_closes()
    {
        var plan = SomePlan.Full("constant current");
        var acts = StepActs.For(plan, plan.Steps[0], new RunState()).ToList();
        var fan = acts.FindIndex(a => a is FanAct { IsOn: true });
        Assert.InRange(fan, 0, acts.FindIndex(a => a is SwitchAct { To.IsEmpty: false }));
    }

    [Fact]
    public void Nothing_to_switch_is_not_gone_through_minimum_for()
    {
        var point = Loaded with { State = Loaded.State with { Order = TransitionOrder.ThroughMinimum } };
        var acts = StepActs.For(SomePlan.Full("constant current"), point, Live(point.State.All, 200));
        Assert.DoesNotContain(acts, a => a is AskAct { Setting.Value: 30 });
        Assert.DoesNotContain(acts, a => a is SwitchAct);
    }

    [Theory]
    [InlineData(AskKind.Adjust, true)]
    [InlineData(AskKind.Inspect, false)]
    [InlineData(AskKind.YesNo, false)]
    public void Hands_go_to_the_unit_with_the_engine_stopped_and_eyes_with_the_bank_off(AskKind kind, bool stops)
    {
        var step = new AskStep(1, "Look", kind, Unit.Volt, null, null, Some.Here);
        var acts = StepActs.For(SomePlan.Full("constant current"), step, Live(Loaded.State.Elements, 200));
        Assert.IsType<ConfirmOffAct>(acts[stops ? ^3 : ^2]);
        Assert.Equal(stops, acts.Any(a => a is AskAct { Action: HandAction.StopEngine }));
        Assert.Equal("Look", Assert.IsType<AskAct>(acts[^1]).Text);
    }

    [Fact]
    public void Energising_is_gate_watch_engine_mode_control_fan_output_volts_and_last_the_proving_load()
    {
        var plan = SomePlan.Full("constant current");
        var energise = (EnergiseStepPlan)plan.Steps[0];
        var proving = energise.Proving;
        var acts = StepActs.For(plan, energise, new RunState());
        Act[] switches = [.. acts.OfType<SwitchAct>()];
        var first = acts.IndexOf(switches[0]);

        Assert.Collection(
            acts.Take(first),
            a => Assert.IsType<DemandGateAct>(a),
            a => Assert.IsType<ScanAct>(a),
            a => Assert.IsType<GuardAct>(a),
            a => Assert.Equal(HandAction.StartEngine, Assert.IsType<AskAct>(a).Action),
            a => Assert.Equal(("constant current", HandAction.SelectMode), Said(a)),
            a => Assert.Equal(proving.Setting, Assert.IsType<AskAct>(a).Setting),
            a => Assert.True(Assert.IsType<FanAct>(a).IsOn),
            a => Assert.Equal(HandAction.EnableOutput, Assert.IsType<AskAct>(a).Action),
            a => Assert.Equal(energise.OpenCircuit, Assert.IsType<ExpectVoltsAct>(a).Allowed),
            a => Assert.IsType<WaitAct>(a),
            a => Assert.Equal(new GuardAct(proving.Passing, TimeSpan.Zero), a)
        );
        Assert.Equal(proving.All, ((SwitchAct)switches[^1]).To);
        Assert.Collection(
            acts.Skip(first + switches.Length),
            a => Assert.Equal(proving.Trips, Assert.IsType<GuardAct>(a).Limits),
            a => Assert.Equal(energise.ProvingCurrent, Assert.IsType<ExpectAmperesAct>(a).Allowed),
            a => Assert.Equal(2, Assert.IsType<PassGateAct>(a).Half)
        );
    }

    private static (string? Mode, HandAction Action) Said(Act act)
    {
        var ask = Assert.IsType<AskAct>(act);
        return (ask.Mode, ask.Action);
    }

    [Fact]
    public void Watchdog_is_given_its_time_the_contact_its_own_and_a_margin_to_prove_itself()
    {
        var plan = SomePlan.Watched;
        var switching = plan.Bench.Instrument(plan.Bench.Bank.InstrumentId).Definition.Switching!;
        var acts = StepActs.For(plan, plan.Steps.OfType<EnergiseStepPlan>().First(), new RunState());
        var proof = acts.Single(a => a is ProveWatchdogAct);
        Assert.Equal(
            TimeSpan.FromSeconds(switching.WatchdogSeconds) + switching.OpenTime + TimeSpan.FromMilliseconds(500),
            ((ProveWatchdogAct)proof).Silence
        );
        Assert.Equal(1, Assert.IsType<SwitchAct>(acts[acts.IndexOf(proof) - 1]).To.Count);
        Assert.Equal(new SwitchAct(ElementSet.None), acts[acts.IndexOf(proof) + 1]);
    }

    [Fact]
    public void Another_mode_is_reached_by_unloading_in_the_old_one_and_switching_every_element_anew()
    {
        var before = Live(Loaded.State.All, 22) with
        {
            Mode = "constant voltage",
            Setting = new Quantity(22, Unit.Volt),
        };
        var acts = StepActs.For(SomePlan.Full("constant current"), Loaded, before);
        var asked = acts.OfType<AskAct>().ToArray();
        // To the least of the old mode before its output is disabled, to the least of the new one before its own is enabled.
        Assert.Equal(
            [
                HandAction.SetControl,
                HandAction.DisableOutput,
                HandAction.SelectMode,
                HandAction.SetControl,
                HandAction.EnableOutput,
            ],
            asked.Take(5).Select(a => a.Action)
        );
        Assert.Equal((16, Unit.Volt), (asked[0].Setting!.Value.Value, asked[0].Setting!.Value.Unit));
        Assert.Equal((30, Unit.Ampere), (asked[3].Setting!.Value.Value, asked[3].Setting!.Value.Unit));
        Assert.Equal([ElementSet.None, .. Loaded.State.Switching], acts.OfType<SwitchAct>().Select(s => s.To));
    }

    [Fact]
    public void Output_that_was_disabled_is_enabled_again_at_the_least_setting_before_a_point()
    {
        var before = Live(ElementSet.None, 200) with { IsOutputEnabled = false };
        var acts = StepActs.For(SomePlan.Full("constant current"), Loaded, before);
        var asked = acts.OfType<AskAct>().ToArray();
        Assert.Equal([HandAction.SetControl, HandAction.EnableOutput], asked.Take(2).Select(a => a.Action));
        Assert.Equal(30, asked[0].Setting!.Value.Value);
        Assert.DoesNotContain(acts, a => a is AskAct { Action: HandAction.SelectMode } or ConfirmOffAct);
    }
}
