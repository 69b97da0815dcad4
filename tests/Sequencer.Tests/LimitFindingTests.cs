using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;
using static LoadTest.SequencerTests.PlanFindingTests;

namespace LoadTest.SequencerTests;

/// <summary>What the planner says of limits: whether these meters can decide them, and in which unit they are given.</summary>
public sealed class LimitFindingTests
{
    [Fact]
    public void Limit_these_meters_cannot_decide_is_said_before_the_run()
    {
        var plan = Plan(Some.Profile(Some.Energise(), Some.Sweep(Some.RatioWithin(0.03))));

        Assert.Contains(
            plan.Findings,
            f => f.Severity == Severity.Warning && f.Message.Contains("no result can pass", StringComparison.Ordinal)
        );
        Assert.True(plan.Groups.Single().Limits.Single().TestUncertaintyRatio < 1);
    }

    [Fact]
    public void Limit_below_four_to_one_is_noted_and_an_ample_one_is_not()
    {
        static bool IsNoted(double percent) =>
            Plan(Some.Profile(Some.Energise(), Some.Sweep(Some.RatioWithin(percent))))
                .Findings.Any(f =>
                    f.Severity == Severity.Note && f.Message.Contains("4:1 is usual", StringComparison.Ordinal)
                );

        Assert.True(IsNoted(0.2));
        Assert.False(IsNoted(1));
    }

    [Fact]
    public void Percent_of_reading_cannot_be_a_limit_before_there_is_a_reading()
    {
        var limit = new Limit(
            LimitForm.PlusMinus,
            Some.Of(0, Unit.Ampere),
            Some.Percent(2, BaseName.Reading),
            "0 A ± 2 % of reading",
            Some.Here
        );
        var step = Some.LoadLine() with { Expect = [new Expectation(Measurand.SetCurrentError, limit)] };

        Error(Plan(Some.Profile(Some.Energise(), step)), "0 A ± 2 % of reading");
    }

    [Fact]
    public void Limit_in_the_wrong_unit_is_an_error()
    {
        var limit = new Limit(LimitForm.AtMost, Some.Of(3, Unit.Ampere), null, "at most 3 A", Some.Here);

        Error(
            Plan(
                Some.Profile(
                    Some.Energise(),
                    new NoLoadStep([new Expectation(Measurand.OutputVoltage, limit)], Some.Here)
                )
            ),
            "not in V"
        );
    }

    [Fact]
    public void Percent_of_setting_stays_relative_over_several_settings_and_is_resolved_over_one()
    {
        var limit = new Limit(
            LimitForm.PlusMinus,
            Some.Of(0, Unit.Ampere),
            Some.Percent(5, BaseName.Setting),
            "0 A ± 5 % of setting",
            Some.Here
        );
        Expectation[] expect = [new(Measurand.SetCurrentError, limit)];
        var plan = Plan(
            Some.Profile(
                Some.Energise(),
                Some.LoadLine() with
                {
                    Expect = [.. expect],
                },
                new HoldStep(null, Some.Of(200, Unit.Ampere), TimeSpan.FromSeconds(10), [.. expect], Some.Here)
            )
        );

        var (many, one) = (plan.Groups[0].Limits.Single(), plan.Groups[1].Limits.Single());
        Assert.Equal((-0.05, 0.05, true, Unit.Fraction), (many.Lower, many.Upper, many.IsRelativeToSetting, many.Unit));
        Assert.Equal((-10.0, 10.0, false, Unit.Ampere), (one.Lower, one.Upper, one.IsRelativeToSetting, one.Unit));
    }

    [Fact]
    public void Curve_without_a_setting_outside_a_loop_is_an_error()
    {
        Error(Plan(Some.Profile(Some.Energise(), new CurveStep(null, null, 6, [], Some.Here))), "has no setting");
    }

    [Fact]
    public void Lead_of_more_resistance_than_the_load_is_said()
    {
        var bench = Some.Bench();
        var plan = Plan(
            Some.Profile(Some.Energise(), Some.Sweep()),
            bench with
            {
                Leads = bench.Leads with { Resistance = new(0.2) },
            }
        );

        Assert.Contains(
            plan.Findings,
            f => f.Message.Contains("leads and reference shunt alone", StringComparison.Ordinal)
        );
    }
}
