using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

public sealed class PlanTests
{
    private static readonly string[] Modes = ["constant current", "constant voltage", "drooping"];

    private static Nameplate AllModes() =>
        Some.Nameplate(Some.ConstantCurrent(), Some.ConstantVoltage(), Some.Drooping());

    private static RunPlan Plan(params ProfileStep[] steps) =>
        Planner.Plan(Some.Profile(steps), AllModes(), Some.Bench());

    private static IEnumerable<PointStep> Points(RunPlan plan) => plan.Steps.OfType<PointStep>();

    public static TheoryData<string> EveryMode() => [.. Modes];

    private static RunPlan Full(string mode) =>
        Plan(
            Some.Energise(mode),
            new NoLoadStep([], Some.Here),
            Some.Sweep(Some.RatioWithin(1)),
            Some.Curve(100),
            Some.Curve(50),
            Some.LoadLine(),
            Some.CoolDown()
        );

    [Theory]
    [MemberData(nameof(EveryMode))]
    public void Usual_verification_is_runnable_on_every_characteristic(string mode)
    {
        var plan = Full(mode);

        Assert.DoesNotContain(plan.Findings, f => f.Severity == Severity.Error);
        Assert.True(plan.IsRunnable);
    }

    [Theory]
    [MemberData(nameof(EveryMode))]
    public void Proving_current_predicted_lies_inside_the_band_the_gate_allows(string mode)
    {
        var energise = Plan(Some.Energise(mode)).Steps.OfType<EnergiseStepPlan>().Single();

        Assert.True(energise.ProvingCurrent.Contains(energise.Proving.PredictedAmperes.Value));
    }

    [Fact]
    public void Steps_are_numbered_from_one_without_gaps()
    {
        var plan = Full("constant current");

        Assert.Equal(Enumerable.Range(1, plan.Steps.Length), plan.Steps.Select(s => s.Number));
        Assert.Equal(Enumerable.Range(1, plan.Groups.Length), plan.Groups.Select(g => g.Number));
        foreach (var group in Points(plan).GroupBy(p => p.Group))
            Assert.Equal(Enumerable.Range(0, group.Count()), group.Select(p => p.IndexInGroup));
    }

    [Fact]
    public void Same_files_give_the_same_plan()
    {
        static string Text(RunPlan plan) =>
            string.Join(
                '\n',
                plan.Steps.Select(s => s is PointStep p ? $"{p}{string.Join('>', p.State.Switching)}" : $"{s}")
            );

        Assert.Equal(Text(Full("constant current")), Text(Full("constant current")));
    }

    [Fact]
    public void Shunt_sweep_of_a_constant_current_source_changes_the_setting_and_never_the_elements()
    {
        var plan = Plan(Some.Energise(), Some.Sweep());

        var loaded = Points(plan).Where(p => !p.State.Elements.IsEmpty).ToArray();
        Assert.Single(loaded.Select(p => p.State.Elements).Distinct());
        Assert.Equal([75, 150, 225, 300, 300, 225, 150, 75], loaded.Select(p => p.State.Setting.Value));
        Assert.Equal([1, 1, 1, 1, -1, -1, -1, -1], loaded.Select(p => p.Direction));
    }

    [Fact]
    public void Shunt_sweep_has_zero_readings_with_every_element_off_before_and_after()
    {
        var plan = Plan(Some.Energise(), Some.Sweep());

        var points = Points(plan).ToArray();
        Assert.True(points[0].IsZeroReading && points[^1].IsZeroReading);
        Assert.All(points.Where(p => p.IsZeroReading), p => Assert.True(p.State.Elements.IsEmpty));
    }

    [Theory]
    [MemberData(nameof(EveryMode))]
    public void Constant_current_amperes_follow_the_setting_and_constant_voltage_volts_do(string mode)
    {
        foreach (var point in Points(Plan(Some.Energise(mode), Some.LoadLine())))
        {
            var state = point.State;
            var followed = mode == "constant voltage" ? state.PredictedVolts.Value : state.PredictedAmperes.Value;
            Assert.Equal(1, followed / state.Setting.Value, 0.02);
        }
    }

    // IEC 60974-1, 11.2, from memory: covered electrode U = 20 + 0.04·I, so 26.6 V at 165 A and 32 V at 300 A.
    [Fact]
    public void Load_line_points_lie_on_the_conventional_load_line()
    {
        foreach (var point in Points(Plan(Some.Energise(), Some.LoadLine())))
        {
            var amperes = point.State.PredictedAmperes.Value;
            Assert.Equal(20 + 0.04 * amperes, point.State.PredictedVolts.Value, 0.05 * (20 + 0.04 * amperes));
        }
    }

    [Theory]
    [InlineData(300, 32, 150, 26)]
    [InlineData(300, 29, 300, 29)]
    [InlineData(300, 29, 100, 23)]
    public void Nameplates_own_rated_volts_bend_the_load_line(double rated, double volts, double at, double expected)
    {
        var line = new ModeLoadLine(
            Some.ConstantCurrent() with
            {
                RatedAmperes = new Amperes(rated),
                RatedVolts = new Volts(volts),
            }
        );

        Assert.Equal(expected, line.Volts(at), 1e-9);
        Assert.Equal(at, line.Amperes(expected)!.Value, 1e-9);
    }

    [Theory]
    [MemberData(nameof(EveryMode))]
    public void Every_state_passed_through_holds_the_ratings(string mode)
    {
        var plan = Full(mode);
        var bench = plan.Bench;
        var unit = new UnitModel(plan.Nameplate.Modes.Single(m => m.Name == mode));
        var circuit = new Circuit(bench);
        var last = Points(plan).First().State.Setting.Value;
        foreach (var state in Points(plan).Select(p => p.State))
        {
            // On the way elements move at the lower setting; there the volts are the lower of set line and ceiling line.
            var moving =
                state.Order == TransitionOrder.ThroughMinimum
                    ? unit.MinimumSetting
                    : Math.Min(last, state.Setting.Value);
            foreach (var set in state.Switching.Where(s => !s.IsEmpty))
            {
                var volts = unit.AmperesInto(moving, circuit.TotalOf(set)) * circuit.TotalOf(set);
                Assert.All(set.Indices(), k => Assert.True(volts <= bench.Bank.Elements[k].ShortTimeVolts.Value));
            }
            foreach (var k in state.Elements.Indices())
                Assert.True(state.PredictedVolts.Value <= bench.Bank.Elements[k].ContinuousVolts.Value);
            last = state.Setting.Value;
        }
    }

    [Theory]
    [MemberData(nameof(EveryMode))]
    public void Each_switching_operation_moves_one_element_and_the_last_is_the_planned_set(string mode)
    {
        var present = ElementSet.None;
        foreach (var state in Full(mode).Steps.Select(StateOf).OfType<BenchState>())
        {
            foreach (var next in state.Switching)
            {
                Assert.Equal(1, present.Difference(next).Count);
                present = next;
            }
            Assert.Equal(state.Elements, present);
        }
    }

    private static BenchState? StateOf(PlannedStep step) =>
        step switch
        {
            EnergiseStepPlan energise => energise.Proving,
            PointStep point => point.State,
            _ => null,
        };

    [Fact]
    public void Elements_move_at_the_lower_of_the_two_settings()
    {
        var plan = Plan(Some.Energise(), Some.LoadLine());

        foreach (var (from, to) in Points(plan).Zip(Points(plan).Skip(1)))
        {
            var expected =
                to.State.Setting.Value > from.State.Setting.Value
                    ? TransitionOrder.ElementsFirst
                    : TransitionOrder.SettingFirst;
            Assert.Equal(expected, to.State.Order);
        }
    }

    [Fact]
    public void Bank_is_opened_only_with_the_control_at_minimum()
    {
        var plan = Plan(Some.Energise(), Some.Curve(100), Some.Curve(50));

        var reopened = Points(plan).Where(p => p.State.Elements.IsEmpty).Skip(1).Single();
        Assert.Equal(TransitionOrder.ThroughMinimum, reopened.State.Order);
    }

    [Theory]
    [MemberData(nameof(EveryMode))]
    public void Curve_starts_open_and_falls_steadily_in_resistance(string mode)
    {
        var points = Points(Plan(Some.Energise(mode), Some.Curve(100, points: 12))).ToArray();

        Assert.True(points[0].State.Elements.IsEmpty);
        var ohms = points.Skip(1).Select(p => p.State.BankResistance!.Value.Value).ToArray();
        Assert.True(ohms.Length >= 6);
        Assert.Equal(ohms.OrderDescending(), ohms);
    }

    [Fact]
    public void Curve_of_a_constant_current_source_covers_volts_as_well_as_amperes()
    {
        var states = Points(Plan(Some.Energise(), Some.Curve(50, points: 12))).Select(p => p.State).ToArray();

        Assert.True(states.Count(s => s.PredictedAmperes.Value < 145) >= 3, "points along the ceiling");
        Assert.True(states.Count(s => s.PredictedAmperes.Value > 149) >= 3, "points where the control holds");
        Assert.True(states.Min(s => s.PredictedVolts.Value) < 15);
    }

    [Fact]
    public void Curve_has_a_point_where_the_unit_works()
    {
        // Conventional load voltage of covered electrodes, IEC 60974-1, 11.2, from memory: 20 V + 0.04 V/A, within 5 % of resistance.
        var states = Points(Plan(Some.Energise(), Some.Curve(50, points: 7))).Select(p => p.State);

        Assert.Contains(
            states,
            s =>
                s.PredictedAmperes.Value > 0
                && Math.Abs(s.PredictedVolts.Value / (20 + 0.04 * s.PredictedAmperes.Value) - 1) < 0.05
        );
    }

    [Fact]
    public void Curve_point_no_element_is_rated_for_is_left_out_and_said_why()
    {
        var plan = Plan(Some.Energise(), Some.Curve(100));

        var finding = Assert.Single(
            plan.Findings,
            f => f.Message.Contains("rated 45 V continuously", StringComparison.Ordinal)
        );
        Assert.Equal(Severity.Warning, finding.Severity);
        Assert.Contains("is left out", finding.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void For_each_control_setting_unfolds_to_one_curve_at_each()
    {
        SettingMark[] marks =
        [
            new(0, null, "minimum"),
            new(0.5, null, "middle"),
            new(null, Some.Of(300, Unit.Ampere), "300 A"),
        ];
        var plan = Plan(
            Some.Energise(),
            new ForEachStep([.. marks], [new CurveStep(null, null, 6, [], Some.Here)], Some.Here)
        );

        Assert.Equal(
            "Curve at 30 A, Curve at 165 A, Curve at 300 A",
            string.Join(", ", plan.Groups.Select(g => g.Title))
        );
    }

    [Fact]
    public void Measured_points_keep_their_name_and_condition_and_output_is_energised_again_after_an_adjustment()
    {
        var profile = Some.Profile(
            Some.Energise(),
            new MeasureStep("shunt", Condition.AsFound, Some.Here),
            new AdjustStep("Feedback gain", Some.Here),
            new MeasureStep("shunt", Condition.AsLeft, Some.Here)
        ) with
        {
            Points = ImmutableDictionary<string, ImmutableArray<ProfileStep>>.Empty.Add(
                "shunt",
                [Some.Sweep(Some.RatioWithin(1))]
            ),
        };
        var plan = Planner.Plan(profile, AllModes(), Some.Bench());

        Assert.Equal([Condition.AsFound, Condition.AsLeft], plan.Groups.Select(g => g.Condition));
        Assert.All(plan.Groups, g => Assert.Equal("shunt", g.PointsName));
        var adjust = plan.Steps.OfType<AskStep>().Single();
        Assert.IsType<EnergiseStepPlan>(plan.Steps[adjust.Number]);
        Assert.Equal(2, plan.Steps.OfType<EnergiseStepPlan>().Count());
    }

    [Fact]
    public void Proving_load_is_one_element_at_no_more_than_five_percent_of_rated_current()
    {
        var energise = Plan(Some.Energise()).Steps.OfType<EnergiseStepPlan>().Single();

        Assert.Equal(1, energise.Proving.Elements.Count);
        Assert.InRange(energise.Proving.PredictedAmperes.Value, 1, 15);
        Assert.True(energise.ProvingCurrent.Contains(energise.Proving.PredictedAmperes.Value));
        Assert.True(energise.ProvingCurrent.Lower > 0, "a reversed shunt must fall outside");
        Assert.False(energise.ProvingCurrent.Contains(-energise.Proving.PredictedAmperes.Value));
    }

    [Fact]
    public void Predicted_values_lie_inside_their_own_trip_limits()
    {
        var plan = Full("constant current");
        var circuit = new Circuit(plan.Bench);

        foreach (var state in Points(plan).Select(p => p.State))
        {
            Assert.True(state.Trips.Volts.Contains(state.PredictedVolts.Value * circuit.FastPart(state.Elements)));
            Assert.True(state.Trips.Amperes.Contains(state.PredictedAmperes.Value));
            if (state.BankResistance is { } ohms)
                Assert.True(state.Trips.Conductance!.Value.Contains(1 / ohms.Value));
        }
    }

    [Fact]
    public void Trip_volts_are_drawn_in_to_what_the_closed_elements_stand_continuously()
    {
        foreach (var state in Points(Full("constant current")).Select(p => p.State).Where(s => !s.Elements.IsEmpty))
        {
            var weakest = state.Elements.Indices().Min(k => Some.ElementVolts[k]);
            Assert.True(state.Trips.Volts.Upper <= weakest);
        }
    }

    [Fact]
    public void Missing_number_never_lies_inside_a_trip_band()
    {
        Assert.False(new Band(double.NegativeInfinity, double.PositiveInfinity).Contains(double.NaN));
    }

    // Worked by hand: ceiling 79 V, 600 A; elements 1+3+4+6+7 = 9.625 S = 0.10390 Ω, leads 2 mΩ, reference shunt 0.1 mΩ:
    // 600 A · 0.10600 Ω = 63.60 V at the studs, 62.34 V at the bank.
    [Fact]
    public void Control_lost_case_is_the_ceiling_limited_by_the_ceiling_current()
    {
        var state = Points(Plan(Some.Energise(), Some.Sweep())).First(p => p.State.Setting.Value == 300).State;

        Assert.Equal(62.34, state.ControlLost!.BankVolts.Value, 0.01);
        Assert.Equal(600, state.ControlLost.Amperes.Value, 1e-9);
        Assert.Equal(TimeSpan.FromMilliseconds(470), state.ControlLost.For);
    }

    // 20 ms aperture + 100 ms scan + two transactions of (150 + 5) ms + 40 ms contactor.
    [Fact]
    public void Time_to_load_off_adds_aperture_scan_bus_and_contactor()
    {
        Assert.Equal(TimeSpan.FromMilliseconds(470), Plan(Some.Energise()).Timing.WorstCase);
    }

    [Fact]
    public void Energy_is_the_sum_of_power_over_time()
    {
        var plan = Full("constant current");

        var expected = PlanTimeline.Of(plan).Sum(s => s.BankWatts * (s.End - s.Start).TotalSeconds);
        Assert.Equal(expected, plan.Totals.Energy, 1e-6);
        Assert.True(plan.Totals.Energy > 1e5);
        Assert.True(plan.Totals.LoadedTime < plan.Totals.Duration);
    }
}
