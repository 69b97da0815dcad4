using CsCheck;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>Laws that hold on any bank, unit and setting, not only on the invented ones the other tests use.</summary>
public sealed class PlanPropertyTests
{
    // One element for the proving load, the others at random.
    private static readonly Gen<Bench> AnyBench =
        from others in Gen.Double[0.15, 2].Array[4, 10]
        from continuous in Gen.Double[30, 100].Array[others.Length + 1]
        from proving in Gen.Double[80, 105]
        from shortTime in Gen.Double[80, 130]
        from contactor in Gen.Double[150, 900]
        from leads in Gen.Double[0.0005, 0.004]
        from watts in Gen.Double[5000, 30_000]
        select Bench([8, .. others], [proving, .. continuous], shortTime, contactor, leads, watts);

    private static readonly Gen<UnitMode> AnyMode =
        from characteristic in Gen.Enum<Characteristic>()
        from amperes in Gen.Double[100, 300]
        from duty in Gen.Double[0.5, 1]
        from openCircuit in Gen.Double[60, 85]
        from ceiling in Gen.Double[1.2, 3]
        select Mode(characteristic, amperes, duty, openCircuit, ceiling * amperes);

    private static Bench Bench(
        double[] ohms,
        double[] continuous,
        double shortTime,
        double contactor,
        double leads,
        double watts
    )
    {
        var some = Some.Bench();
        var switching = some.Instruments[0].Definition.Switching! with { ElementCount = ohms.Length };
        var definition = some.Instruments[0].Definition with { Switching = switching };
        return some with
        {
            Bank = some.Bank with
            {
                Elements =
                [
                    .. ohms.Select(
                        (r, k) =>
                            some.Bank.Elements[0] with
                            {
                                Resistance = new Ohms(r),
                                ContinuousVolts = new Volts(Math.Min(continuous[k], shortTime)),
                                ShortTimeVolts = new Volts(shortTime),
                            }
                    ),
                ],
                ContactorAmperes = new Amperes(contactor),
                TotalWatts = new Watts(watts),
            },
            Leads = some.Leads with { Resistance = new Ohms(leads) },
            Instruments = some.Instruments.SetItem(0, some.Instruments[0] with { Definition = definition }),
        };
    }

    private static UnitMode Mode(
        Characteristic characteristic,
        double amperes,
        double duty,
        double openCircuit,
        double ceiling
    )
    {
        var isVolts = characteristic == Characteristic.ConstantVoltage;
        var volts = isVolts ? 14 + 0.05 * amperes : 20 + 0.04 * amperes;
        return Some.ConstantCurrent() with
        {
            Characteristic = characteristic,
            LoadLine = isVolts ? LoadLineName.MigMag : LoadLineName.CoveredElectrode,
            RatedAmperes = new Amperes(amperes),
            RatedVolts = new Volts(volts),
            DutyCycle = duty,
            MinimumSetting = isVolts ? new Quantity(15, Unit.Volt) : new Quantity(amperes / 10, Unit.Ampere),
            MaximumSetting = isVolts ? new Quantity(volts, Unit.Volt) : new Quantity(amperes, Unit.Ampere),
            MinimumAmperes = new Amperes(amperes / 12),
            LowestOpenCircuit = new Volts(openCircuit * 0.9),
            HighestOpenCircuit = new Volts(openCircuit),
            CeilingAmperes = new Amperes(ceiling),
        };
    }

    private static RunPlan Plan(UnitMode mode, Bench bench) =>
        Planner.Plan(
            Some.Profile(Some.Energise(mode.Name), Some.Sweep(Some.RatioWithin(1)), Some.Curve(100), Some.LoadLine()),
            Some.Nameplate(mode),
            bench
        );

    private static IEnumerable<BenchState> States(RunPlan plan) =>
        plan
            .Steps.OfType<PointStep>()
            .Select(p => p.State)
            .Concat(plan.Steps.OfType<EnergiseStepPlan>().Select(s => s.Proving));

    [Fact]
    public void Planner_answers_with_a_plan_and_findings_whatever_the_bench()
    {
        Gen.Select(AnyMode, AnyBench)
            .Sample(
                (mode, bench) =>
                {
                    var plan = Plan(mode, bench);
                    Assert.All(plan.Findings, f => Assert.False(string.IsNullOrWhiteSpace(f.Message)));
                    Assert.Equal(Enumerable.Range(1, plan.Steps.Length), plan.Steps.Select(s => s.Number));
                },
                iter: 150,
                threads: 1
            );
    }

    [Fact]
    public void No_planned_state_puts_more_on_an_element_than_it_stands_for_ever()
    {
        Gen.Select(AnyMode, AnyBench)
            .Sample(
                (mode, bench) =>
                {
                    foreach (var state in States(Plan(mode, bench)).Where(s => !s.Elements.IsEmpty))
                    {
                        var bankVolts = state.PredictedAmperes.Value * state.BankResistance!.Value.Value;
                        foreach (var k in state.Elements.Indices())
                        {
                            var element = bench.Bank.Elements[k];
                            Assert.True(bankVolts <= element.ContinuousVolts.Value * (1 + 1e-6));
                            Assert.True(
                                bankVolts / element.Resistance.Value <= bench.Bank.ContactorAmperes.Value * (1 + 1e-6)
                            );
                        }
                    }
                },
                iter: 150,
                threads: 1
            );
    }

    [Fact]
    public void Control_lost_is_survived_in_every_state_of_a_runnable_plan()
    {
        var runnable = 0;
        Gen.Select(AnyMode, AnyBench)
            .Sample(
                (mode, bench) =>
                {
                    var plan = Plan(mode, bench);
                    if (!plan.IsRunnable)
                        return;
                    runnable++;
                    foreach (var lost in States(plan).Select(s => s.ControlLost).OfType<ControlLostCase>())
                        Assert.True(lost.PartOfShortTime <= 1 + 1e-6);
                },
                iter: 150,
                threads: 1
            );
        Assert.True(runnable > 10, $"only {runnable} of 150 random plans were runnable: this test says nothing");
    }

    [Fact]
    public void Power_in_the_bank_is_kept_in_every_state_passed_through()
    {
        var passed = 0;
        Gen.Select(AnyMode, AnyBench)
            .Sample(
                (mode, bench) =>
                {
                    var (unit, circuit) = (new UnitModel(mode), new Circuit(bench));
                    var last = unit.MinimumSetting;
                    foreach (var state in Plan(mode, bench).Steps.OfType<PointStep>().Select(p => p.State))
                    {
                        var moving =
                            state.Order == TransitionOrder.ThroughMinimum
                                ? unit.MinimumSetting
                                : Math.Min(last, state.Setting.Value);
                        foreach (var set in state.Switching.Where(s => !s.IsEmpty))
                        {
                            var amperes = unit.AmperesInto(moving, circuit.TotalOf(set));
                            var watts = amperes * amperes * circuit.Bank.ResistanceOf(set).Value;
                            Assert.True(watts <= bench.Bank.TotalWatts.Value * (1 + 1e-6));
                            passed++;
                        }
                        last = state.Setting.Value;
                    }
                },
                iter: 150,
                threads: 1
            );
        Assert.True(passed > 100, $"only {passed} states passed through: this test says nothing");
    }

    [Fact]
    public void Elements_of_a_constant_current_source_change_only_towards_the_planned_resistance_never_its_current()
    {
        Gen.Select(AnyMode, AnyBench)
            .Sample(
                (mode, bench) =>
                {
                    if (mode.Characteristic != Characteristic.ConstantCurrent)
                        return;
                    var sweep = Plan(mode, bench)
                        .Steps.OfType<PointStep>()
                        .Where(p => p.Group == 1 && !p.State.Elements.IsEmpty)
                        .Select(p => p.State.Elements)
                        .Distinct();
                    Assert.True(sweep.Count() <= 1);
                },
                iter: 600,
                threads: 1
            );
    }
}
