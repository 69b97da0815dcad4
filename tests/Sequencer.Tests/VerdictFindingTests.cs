using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;
using static LoadTest.SequencerTests.PlanFindingTests;

namespace LoadTest.SequencerTests;

/// <summary>The plan refuses what can never be decided and says when its own prediction breaks a limit.</summary>
public sealed class VerdictFindingTests
{
    private static Limit Within(double nominal, double plusMinus, Unit unit) =>
        new(
            LimitForm.PlusMinus,
            Some.Of(nominal, unit),
            Some.Of(plusMinus, unit),
            $"{nominal} ± {plusMinus}",
            Some.Here
        );

    private static ShuntSweepStep Sweep(bool bothWays, params double[] amperes) =>
        new(null, [.. amperes.Select(a => Some.Of(a, Unit.Ampere))], bothWays, false, [Some.RatioWithin(1)], Some.Here);

    private static HoldStep Hold(double amperes, double plusMinus) =>
        new(
            null,
            Some.Of(amperes, Unit.Ampere),
            TimeSpan.FromSeconds(60),
            [new Expectation(Measurand.OutputCurrent, Within(amperes, plusMinus, Unit.Ampere))],
            Some.Here
        );

    // JCGM 100:2008, H.3: a straight line takes two parameters, so its scatter has n − 2 degrees of freedom.
    [Theory]
    [InlineData(false, new double[] { 100, 200 })]
    [InlineData(true, new double[] { 200 })]
    [InlineData(false, new double[] { 200 })]
    public void Shunt_ratio_from_fewer_points_than_a_line_needs_is_refused(bool bothWays, double[] amperes)
    {
        var finding = Error(Plan(Some.Profile(Some.Energise(), Sweep(bothWays, amperes))), "shunt ratio");

        Assert.Contains("takes 3 points at 2 different currents", finding.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(false, new double[] { 100, 200, 300 })]
    [InlineData(true, new double[] { 100, 200 })]
    public void Shunt_ratio_from_three_points_or_more_is_planned(bool bothWays, double[] amperes) =>
        Assert.True(Plan(Some.Profile(Some.Energise(), Sweep(bothWays, amperes))).IsRunnable);

    [Theory]
    [InlineData(Measurand.SetCurrentError, "constant voltage", Unit.Ampere)]
    [InlineData(Measurand.SetVoltageError, "constant current", Unit.Volt)]
    public void Error_of_a_setting_the_mode_does_not_have_is_refused(Measurand measurand, string mode, Unit unit)
    {
        var step = Some.LoadLine() with { Expect = [new Expectation(measurand, Within(0, 3, unit))] };

        var finding = Error(
            Plan(Some.Profile(new EnergiseStep(mode, Some.Here), step)),
            $"the control of mode {mode} is set in"
        );
        Assert.Equal(Severity.Error, finding.Severity);
    }

    [Fact]
    public void Prediction_outside_the_profiles_own_limit_is_said_with_both_numbers()
    {
        var mode = Some.ConstantCurrent() with { MaximumSetting = new Quantity(340, Unit.Ampere) };
        var plan = Plan(
            Some.Profile(Some.Energise(), Hold(340, 5)),
            nameplate: Some.Nameplate(mode with { CeilingAmperes = new Amperes(500) })
        );

        // From 72 V through 32 V at 300 A to 500 A: on 33.6 V/340 A the second part gives 32·500/(0.09882·200 + 32) = 309.1 A.
        var finding = Assert.Single(
            plan.Findings,
            f => f.Message.Contains("would fail here", StringComparison.Ordinal)
        );
        Assert.Equal(Severity.Warning, finding.Severity);
        Assert.Contains("309", finding.Message, StringComparison.Ordinal);
        Assert.Contains("335 A to 345 A", finding.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Prediction_inside_every_limit_says_nothing() =>
        Assert.DoesNotContain(
            Plan(Some.Profile(Some.Energise(), Hold(300, 5))).Findings,
            f => f.Message.Contains("would fail here", StringComparison.Ordinal)
        );

    // The nameplate's own statement: a machine rated 36 V at 400 A delivers that, whatever a straight line would say.
    [Theory]
    [InlineData(401)]
    [InlineData(500)]
    [InlineData(650)]
    [InlineData(2000)]
    public void Rated_volts_at_rated_amperes_are_within_reach_of_the_predicted_ceiling(double ceiling)
    {
        var mode = Some.ConstantCurrent() with
        {
            RatedAmperes = new Amperes(400),
            RatedVolts = new Volts(36),
            MaximumSetting = new Quantity(400, Unit.Ampere),
            CeilingAmperes = new Amperes(ceiling),
        };
        var unit = new UnitModel(mode);

        Assert.Equal(400, unit.AmperesInto(400, 36.0 / 400), 9);
        Assert.InRange(unit.AmperesInto(400, 1e-6), 0, 400);
        Assert.InRange(unit.AmperesInto(1e6, 1e-9), 0, ceiling * (1 + 1e-9));
        // More resistance never draws more current, and the worst case lies at or above the prediction.
        var before = double.PositiveInfinity;
        for (var ohms = 0.01; ohms < 3; ohms += 0.01)
        {
            var amperes = unit.AmperesInto(1e6, ohms);
            Assert.InRange(amperes, 0, before);
            Assert.InRange(amperes, 0, unit.Worst(1e6, regulates: false).AmperesInto(new(ohms)).Value * (1 + 1e-12));
            before = amperes;
        }
    }
}
