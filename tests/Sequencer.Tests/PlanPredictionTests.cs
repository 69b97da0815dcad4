using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

public sealed class PlanPredictionTests
{
    // JCGM 100:2008, 4.3.7: limits ± a with nothing known between them are u = a/√3.
    // By hand: 30 V on a 100 V range, ± (0.005 % of reading + 0.002 % of range): gain 1.5 mV, offset 1 mV, linearity 1 mV, root of squares
    // 2.0616 mV, u = 1.1902 mV; half a step of 0.1 mV adds 0.05/√3 = 0.0289 mV: 1.1906 mV.
    [Fact]
    public void Data_sheet_limits_become_a_rectangular_standard_uncertainty()
    {
        Assert.Equal(1.19059e-3, new MeterPrediction(Some.Bench()).StudVolts(30)!.Value, 1e-7);
    }

    // By hand at 300 A: drop 30 mV on 100 mV, gain 1.5 µV, offset and linearity 1 µV each, u = 1.1906 µV with resolution, i.e. 11.906 mA
    // (0.1 mV/A); certificate U = 0.04 %, k = 2: 60 mA; EMF 2 µV/√3 = 11.547 mA;
    // temperature 20 ppm/K · (5 + 40·0.36) K/√3 = 224.0 ppm = 67.20 mA; a year's drift of a fifth of
    // class 0.1: 0.02 %/√3 = 34.64 mA. Root of squares: 97.93 mA.
    [Fact]
    public void Amperes_by_the_reference_shunt_carry_meter_certificate_emf_and_heating()
    {
        Assert.Equal(0.09793, new MeterPrediction(Some.Bench()).Amperes(300)!.Value, 2e-5);
    }

    [Fact]
    public void Shunt_without_certificate_is_taken_at_its_class()
    {
        var bench = Some.Bench();
        var uncertified = bench with { ReferenceShunt = bench.ReferenceShunt with { Certificate = null } };

        // Class 0.1: ± 0.1 % rectangular is 0.0577 % = 173.2 mA at 300 A; with the rest above: 189.7 mA.
        Assert.Equal(0.1897, new MeterPrediction(uncertified).Amperes(300)!.Value, 2e-4);
    }

    [Fact]
    public void Reading_above_its_range_has_no_uncertainty_but_a_missing_one()
    {
        Assert.Null(new MeterPrediction(Some.Bench()).StudVolts(120));
    }

    // ANSI/NCSL Z540.3-2006, 3.11 (from memory): TUR = span / (2·U at 95 %). JCGM 106:2012, 7: w = U leaves 2.5 % at the acceptance limit.
    [Fact]
    public void Ratio_and_risk_follow_from_the_predicted_uncertainty()
    {
        var plan = Planner.Plan(
            Some.Profile(Some.Energise(), Some.Sweep(Some.RatioWithin(1))),
            Some.Nameplate(),
            Some.Bench()
        );

        var limit = plan.Groups.Single().Limits.Single();
        Assert.Equal(0.00012 * 0.99, limit.Lower!.Value, 1e-15);
        Assert.Equal(0.00012 * 1.01, limit.Upper!.Value, 1e-15);
        var expected = (limit.Upper - limit.Lower) / (2 * 1.959964 * limit.PredictedUncertainty);
        Assert.Equal(expected!.Value, limit.TestUncertaintyRatio!.Value, 1e-4);
        Assert.Equal(0.025, limit.FalseAcceptRisk!.Value, 1e-6);
    }

    [Fact]
    public void Simple_acceptance_at_the_limit_is_a_risk_of_one_half()
    {
        var profile = Some.Profile(Some.Energise(), Some.Sweep(Some.RatioWithin(1))) with
        {
            Decision = new DecisionText(DecisionForm.SimpleAcceptance, 0, 0.95),
        };

        var limit = Planner.Plan(profile, Some.Nameplate(), Some.Bench()).Groups.Single().Limits.Single();
        Assert.Equal(0.5, limit.FalseAcceptRisk!.Value, 1e-6);
    }

    [Fact]
    public void One_sided_limit_has_a_risk_but_no_ratio()
    {
        var atLeast = new Limit(LimitForm.AtLeast, Some.Of(62, Unit.Volt), null, "at least 62 V", Some.Here);
        var step = new NoLoadStep([new Expectation(Measurand.OutputVoltage, atLeast)], Some.Here);

        var limit = Planner.Plan(Some.Profile(Some.Energise(), step), Some.Nameplate(), Some.Bench()).Groups[0].Limits[
            0
        ];
        Assert.Equal((62.0, (double?)null), (limit.Lower, limit.Upper));
        Assert.Null(limit.TestUncertaintyRatio);
        Assert.NotNull(limit.FalseAcceptRisk);
    }

    // Invented machine, worked by hand: E = 72 V, I_c = 600 A. 0.1 Ω at 300 A set: 36/... the ceiling gives 72/(0.12 + 0.1) = 327 A,
    // so the control holds 300 A and 30 V; 0.2 Ω: the ceiling gives 72/0.32 = 225 A and 45 V.
    [Theory]
    [InlineData(0.1, 300, true)]
    [InlineData(0.2, 225, false)]
    public void Constant_current_holds_up_to_the_ceiling_line(double ohms, double amperes, bool regulates)
    {
        var unit = new UnitModel(Some.ConstantCurrent());

        Assert.Equal(amperes, unit.AmperesInto(300, ohms), 1e-9);
        Assert.Equal(regulates, unit.RegulatesInto(300, ohms));
    }

    // 72 V open, 28 V at 200 A on the load line: 22 V/100 A, so 200 A into 0.14 Ω.
    [Fact]
    public void Drooping_setting_lies_on_the_load_line()
    {
        var unit = new UnitModel(Some.Drooping());

        Assert.Equal(200, unit.AmperesInto(200, 0.14), 1e-9);
    }

    [Fact]
    public void Control_lost_into_a_high_resistance_is_the_full_ceiling_voltage()
    {
        var (volts, amperes) = new UnitModel(Some.ConstantCurrent()).ControlLost(1);

        Assert.Equal((79, 79), (volts, amperes));
    }

    [Fact]
    public void Worst_case_volts_never_lie_below_the_predicted()
    {
        foreach (var mode in new[] { Some.ConstantCurrent(), Some.ConstantVoltage(), Some.Drooping() })
        {
            var unit = new UnitModel(mode);
            var setting = (unit.MinimumSetting + unit.MaximumSetting) / 2;
            foreach (var ohms in new[] { 0.07, 0.1, 0.15, 0.3, 0.6, 1, 2, 8 })
            {
                var predicted = unit.AmperesInto(setting, ohms) * ohms;
                foreach (var regulates in new[] { true, false })
                    Assert.True(unit.Worst(setting, regulates).VoltsOn(new Ohms(ohms)).Value >= predicted - 1e-9);
            }
        }
    }

    [Fact]
    public void Table_has_a_cell_for_every_column_of_every_step_and_limit()
    {
        var plan = Planner.Plan(
            Some.Profile(
                new InspectStep("Leads", Some.Here),
                Some.Energise(),
                Some.Sweep(Some.RatioWithin(1)),
                Some.CoolDown()
            ),
            Some.Nameplate(),
            Some.Bench()
        );

        foreach (var table in new[] { PlanTable.Steps(plan), PlanTable.Limits(plan), PlanTable.Totals(plan) })
        {
            Assert.NotEmpty(table.Rows);
            Assert.All(table.Rows, r => Assert.Equal(table.Columns.Length, r.Length));
        }
        Assert.Equal(plan.Steps.Length, PlanTable.Steps(plan).Rows.Length);
        Assert.Contains("0.1188 mV/A", PlanTable.Limits(plan).Rows[0], StringComparer.Ordinal);
    }
}
