using System.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>Plans of heat runs, sudden loads and auxiliary loads, held against ratings and channels.</summary>
public sealed class LongStepPlanTests
{
    private static readonly string Profile = Text("profiles/heat-run-and-auxiliary.yaml");
    private static readonly string Bench = Text("profiles/benches/workshop.yaml");
    private static readonly string Plate = Text("profiles/nameplates/demo-300.yaml");

    private static string Text(string path) => Encoding.UTF8.GetString(Tree.Bytes(path));

    private static string With(string text, string old, string other)
    {
        Assert.Contains(old, text, StringComparison.Ordinal);
        return text.Replace(old, other, StringComparison.Ordinal);
    }

    private static RunPlan Plan(string? profile = null, string? bench = null, string? plate = null)
    {
        var p = ProfileReader.Read("p", Encoding.UTF8.GetBytes(profile ?? Profile));
        var n = NameplateReader.Read("n", Encoding.UTF8.GetBytes(plate ?? Plate));
        var b = BenchReader.Read("b", Encoding.UTF8.GetBytes(bench ?? Bench), Tree.Definition);
        Assert.True(p.Value is not null, string.Join('\n', p.Findings));
        Assert.True(n.Value is not null, string.Join('\n', n.Findings));
        Assert.True(b.Value is not null, string.Join('\n', b.Findings));
        return Planner.Plan(p.Value, n.Value, b.Value);
    }

    private static void Refused(RunPlan plan, params string[] words)
    {
        var errors = plan.Findings.Where(f => f.Severity == Severity.Error).Select(f => f.Message).ToArray();
        Assert.Contains(errors, e => words.All(w => e.Contains(w, StringComparison.Ordinal)));
    }

    [Fact]
    public void The_shipped_profile_can_be_planned_without_a_word()
    {
        var plan = Plan();
        Assert.Empty(plan.Findings);
        Assert.All(
            plan.Groups.SelectMany(g => g.Limits).Where(l => l.Unit is Unit.Volt or Unit.Hertz or Unit.Kelvin),
            l => Assert.NotNull(l.PredictedUncertainty)
        );
    }

    [Fact]
    public void Any_ten_minutes_of_a_heat_run_are_predicted_at_the_rms_of_its_duty_cycle()
    {
        // Heat goes with the square of the current: 300 A at 60 % is 300·√0.6 = 232.4 A rms (textbook).
        var plan = Plan();
        var worst = DutyChecks.Worst([.. PlanTimeline.Of(plan).Where(s => s.Step == 4)])!.Value.Rms;
        Assert.Equal(300 * Math.Sqrt(0.6), worst, 1e-6);
    }

    [Theory]
    [InlineData("duty cycle: 60 %", "duty cycle: 75 %")]
    [InlineData("      duty cycle: 60 %\n      off part: no load\n", "")]
    public void A_heat_run_beyond_the_units_duty_cycle_is_refused(string old, string other) =>
        Refused(Plan(With(Profile, old, other)), "300 A at 60 %", "232.4 A rms");

    [Fact]
    public void A_heat_run_beyond_what_leads_or_shunt_stand_on_average_is_refused()
    {
        Refused(
            Plan(
                bench: With(
                    Bench,
                    "rated current: 350 A, duty current: 450 A, duty cycle: 60 %",
                    "rated current: 180 A, duty current: 320 A, duty cycle: 30 %"
                )
            ),
            "the leads",
            "180 A rms"
        );
        Refused(Plan(bench: With(Bench, "continuous: 70 %", "continuous: 40 %")), "the reference shunt", "200 A rms");
    }

    [Theory]
    [InlineData("bank outlet temperature: above 130 °C", "bank outlet temperature")]
    [InlineData("lug temperature: above 90 °C", "lug temperature")]
    [InlineData("reference shunt temperature: above 90 °C", "reference shunt temperature")]
    public void A_heat_run_needs_a_trip_on_every_temperature_the_bench_reads(string line, string name) =>
        Refused(Plan(With(Profile, $"  {line}\n", "")), "heat run", name);

    [Fact]
    public void On_a_bench_without_the_channels_every_step_says_what_it_misses()
    {
        var plan = Plan(bench: Text("profiles/benches/demo.yaml"));
        Refused(plan, "\"unit temperature\"", "has none");
        Refused(plan, "auxiliary bank");
        Refused(plan, "\"auxiliary frequency\"", "has none");
        Refused(plan, "No fast channel samples the output voltage");
        Refused(plan, "trip on lug temperature", "protect nothing");
    }

    [Fact]
    public void A_sudden_load_only_closes_or_only_opens()
    {
        var sudden = Plan().Steps.OfType<PointStep>().Where(p => p.Transient is not null).ToArray();
        Assert.Equal(2, sudden.Length);
        Assert.True(sudden[0].Transient!.From.All.IsEmpty);
        Assert.True(sudden[1].State.Elements.IsWithin(sudden[1].Transient!.From.Elements));
        Assert.All(sudden, p => Assert.Equal(p.State.All, Assert.Single(p.State.Switching)));
        Assert.All(sudden, p => Assert.Equal(p.State.Setting, p.Transient!.From.Setting));
    }

    [Fact]
    public void A_sudden_load_moves_no_element_that_could_not_stand_the_ceiling_alone()
    {
        // Whichever contact closes first carries the source alone, up to its ceiling of 80 V; element 3 is 2 Ω.
        static Analysis.Loads.ElementSet Moved(RunPlan plan)
        {
            var sudden = plan.Steps.OfType<PointStep>().First(p => p.Transient is not null);
            return sudden.State.Elements.Union(sudden.Transient!.From.Elements);
        }
        const string sound = "{ resistance: 2 Ω, tolerance: 2 %, continuous: 80 V, short time: 100 V";
        Assert.True(Moved(Plan()).Contains(2));
        var weak = With(Bench, sound, "{ resistance: 2 Ω, tolerance: 2 %, continuous: 60 V, short time: 70 V");
        Assert.False(Moved(Plan(bench: weak)).Contains(2));
    }

    [Fact]
    public void More_samples_than_the_fast_channels_aperture_allows_are_refused() =>
        Refused(Plan(With(Profile, "every: 5 ms", "every: 2 ms")), "every 2 ms", "so short an aperture");

    [Fact]
    public void Auxiliary_elements_are_the_nearest_to_the_wanted_power_and_follow_the_dc_elements()
    {
        // P = U²/R at 240 V: 57.6 Ω is 1 kW, 28.8 Ω 2 kW, 19.2 Ω 3 kW (Ohm's law).
        var plan = Plan();
        var kilowatts = plan
            .Steps.OfType<PointStep>()
            .Where(p => plan.Groups[p.Group - 1].Kind == GroupKind.Auxiliary)
            .Select(p => p.State.AuxiliaryPower.Value / 1000);
        Assert.Equal([0, 2, 4, 7, 9], kilowatts.Select(k => Math.Round(k, 6)));
        Assert.All(
            plan.Steps.OfType<PointStep>(),
            p => Assert.All(p.State.Auxiliary.Indices(), k => Assert.InRange(k, 8, 11))
        );
    }

    [Fact]
    public void Every_operation_of_a_plan_switches_one_element_from_the_set_before_it()
    {
        var on = default(Analysis.Loads.ElementSet);
        foreach (var step in Plan().Steps)
        {
            switch (step)
            {
                case AskStep or CoolDownStepPlan:
                    on = default;
                    break;
                case EnergiseStepPlan energise:
                    on = energise.Proving.All;
                    break;
                case PointStep { Transient: null } point:
                    foreach (var next in point.State.Switching)
                    {
                        Assert.Equal(1, next.Difference(on).Count);
                        on = next;
                    }
                    Assert.Equal(point.State.All, on);
                    if (point.Heat?.Off is { } off)
                        on = off.All;
                    break;
                case PointStep sudden:
                    on = sudden.State.All;
                    break;
            }
        }
    }

    [Fact]
    public void An_auxiliary_load_that_no_elements_make_is_refused() =>
        Refused(
            Plan(With(Profile, "at: [0 %, 25 %, 50 %, 75 %, 100 %]", "at: [0 %, 4 %]")),
            "360 W is wanted",
            "1000 W"
        );

    [Fact]
    public void Auxiliary_elements_that_do_not_stand_the_trip_voltage_are_refused() =>
        Refused(
            Plan(With(Profile, "above 115 % of rated auxiliary voltage", "above 120 % of rated auxiliary voltage")),
            "may see 288 V",
            "280 V"
        );

    [Fact]
    public void Without_a_table_on_the_plate_both_outputs_are_not_loaded_together()
    {
        var cut = Plate[..Plate.IndexOf("  with weld:", StringComparison.Ordinal)];
        Refused(Plan(plate: cut), "does not say what both outputs carry together");
    }

    [Fact]
    public void Lower_limits_of_the_auxiliary_output_count_only_while_it_is_loaded()
    {
        static double Lower(BenchState s) =>
            s.Trips.Side.Single(l => l.Role == ChannelRole.AuxiliaryVolts).Allowed.Lower;
        var points = Plan().Steps.OfType<PointStep>().ToArray();
        Assert.All(
            points.Where(p => p.State.Auxiliary.IsEmpty),
            p => Assert.Equal(double.NegativeInfinity, Lower(p.State))
        );
        Assert.All(points.Where(p => !p.State.Auxiliary.IsEmpty), p => Assert.Equal(192, Lower(p.State), 1e-9));
    }
}
