using CsCheck;
using LoadTest.Analysis;
using LoadTest.Analysis.Ac;
using LoadTest.Analysis.Decision;

namespace LoadTest.AnalysisTests.Ac;

public sealed class GeneratingSetTests
{
    [Fact]
    public void Regulation_has_three_names_and_three_values()
    {
        // 129 V no load, 115 V full load, rated 120 V: arithmetic; the band is ISO 8528-5, from memory.
        Estimate[] volts = [new(129, 0.1), new(115, 0.1)];

        Assert.Equal(0.1217, VoltageRegulation.NoLoadToFullLoad(volts[0], volts[1]).Value, 5e-5);
        Assert.Equal(0.0583, VoltageRegulation.SteadyStateBand(volts, 120).Value, 5e-5);
        Assert.Equal(0.075, VoltageRegulation.LargestFromRated(volts, 120).Value, 1e-12);
    }

    [Fact]
    public void One_meters_gain_error_leaves_a_ratio_alone()
    {
        // JCGM 100:2008, 5.2.2: with r = 1 and equal relative uncertainties a ratio has none.
        var (noLoad, fullLoad) = (new Estimate(129, 1.29), new Estimate(115, 1.15));

        Assert.Equal(0, VoltageRegulation.NoLoadToFullLoad(noLoad, fullLoad, 1).StandardUncertainty, 1e-9);
        Assert.Equal(
            129.0 / 115 * 0.01 * Math.Sqrt(2),
            VoltageRegulation.NoLoadToFullLoad(noLoad, fullLoad).StandardUncertainty,
            1e-12
        );
    }

    [Theory]
    // Generating-set ratings read as 61.5/58.5 Hz and 63/60 Hz; 61.8/60 and 62/59 Hz: arithmetic. 62 → 59 is exactly 5 %.
    [InlineData(61.5, 58.5, 0.05)]
    [InlineData(63, 60, 0.05)]
    [InlineData(61.8, 60, 0.03)]
    [InlineData(62, 59, 0.05)]
    public void Droop_is_over_the_rated_frequency(double noLoad, double fullLoad, double droop) =>
        Assert.Equal(droop, Governor.Droop(new Estimate(noLoad, 0), new Estimate(fullLoad, 0), 60).Value, 1e-12);

    [Theory]
    // f = n·p/120, public tables.
    [InlineData(60, 2, 3600)]
    [InlineData(60, 4, 1800)]
    [InlineData(60, 6, 1200)]
    [InlineData(50, 4, 1500)]
    [InlineData(61.5, 2, 3690)]
    public void Speed_follows_from_frequency_and_poles(double hertz, int poles, double speed)
    {
        var found = Governor.RevolutionsPerMinute(new Estimate(hertz, 0.01), poles);

        Assert.Equal(speed, found.Value, 1e-9);
        Assert.Equal(1.2 / poles, found.StandardUncertainty, 1e-12);
        Assert.Equal(hertz, Governor.Hertz(found, poles).Value, 1e-12);
    }

    [Fact]
    public void Poles_come_in_pairs() =>
        Assert.Throws<ArgumentException>(() => Governor.RevolutionsPerMinute(new Estimate(60, 0), 3));

    [Fact]
    public void Derating_multiplies_altitude_and_temperature()
    {
        var rule = new Derating(1000, 0.035, 300, 40, 0.02, 5.5);

        // 1 − 2·0.035 = 0.93; 1 − 0.02 = 0.98: arithmetic on an invented rule.
        Assert.Equal(0.93 * 0.98, rule.FactorAt(1600, new Estimate(45.5, 0)).Value, 1e-12);
        Assert.Equal(1, rule.FactorAt(500, new Estimate(20, 1)).Value);
        Assert.Equal(0.93 * 0.02 / 5.5, rule.FactorAt(1600, new Estimate(45.5, 1)).StandardUncertainty, 1e-12);
        Assert.Equal(0, rule.FactorAt(20_000, new Estimate(20, 1)).Value);
    }

    [Fact]
    public void A_step_shows_dip_overshoot_and_recovery()
    {
        // Second-order answer with a known lowest point: worked by hand below.
        double[] seconds = [.. Enumerable.Range(0, 401).Select(k => k * 0.01)];
        double[] volts =
        [
            .. seconds.Select(t => t <= 1 ? 120 : 120 - 18 * Math.Exp(-(t - 1) / 0.3) * Math.Cos(4 * (t - 1))),
        ];

        var found = StepResponse.Of(seconds, volts, 1, 120, 0.025, StepReference.Rated);

        // First value after the step: −18·e^(−0.0333)·cos 0.04 = −17.396 V.
        Assert.Equal(-17.396 / 120, found.Dip.Value, 1e-5);
        // Overshoot where tan 4τ = −1/1.2: τ = 0.61209 s, 18·e^(−2.0403)·0.76822 = 1.797 V.
        Assert.Equal(1.797 / 120, found.Overshoot.Value, 1e-4);
        // 18·e^(−τ/0.3)·cos 4τ = 3 V at τ = 0.28236 s (bisection); overshoot stays below 3 V.
        Assert.Equal(0.28236, found.RecoverySeconds!.Value.Value, 1e-3);
        Assert.Equal(0.01 / Math.Sqrt(12), found.RecoverySeconds!.Value.StandardUncertainty, 1e-12);
    }

    [Fact]
    public void What_does_not_recover_has_no_recovery_time()
    {
        double[] seconds = [.. Enumerable.Range(0, 100).Select(k => k * 0.1)];
        double[] hertz = [.. seconds.Select((t, k) => t <= 2 ? 60 : 58 + k % 2)];

        Assert.Null(StepResponse.Of(seconds, hertz, 2, 60, 0.005, StepReference.BeforeStep).RecoverySeconds);
    }

    [Fact]
    public void Frequency_is_counted_from_before_the_step()
    {
        double[] seconds = [.. Enumerable.Range(0, 100).Select(k => k * 0.1)];
        double[] hertz = [.. seconds.Select(t => t <= 2 ? 61.5 : 58.5)];

        Assert.Equal(
            -3 / 60.0,
            StepResponse.Of(seconds, hertz, 2, 60, 0.01, StepReference.BeforeStep).Dip.Value,
            1e-12
        );
        Assert.Equal(-1.5 / 60.0, StepResponse.Of(seconds, hertz, 2, 60, 0.01, StepReference.Rated).Dip.Value, 1e-12);
    }

    [Fact]
    public void Class_limits_carry_their_status()
    {
        // ISO 8528-5, from memory: droop 8/5/3 %, transient dip −25/−20/−15 %, voltage recovery 10/6/4 s.
        var table = ClassLimits.FromMemory();

        Assert.All(table.Limits, l => Assert.StartsWith("from memory: check your copy", l.Status));
        Assert.Equal([0.08, 0.05, 0.03], Uppers("frequency droop"));
        Assert.Equal([10.0, 6, 4], Uppers("voltage recovery time"));
        Assert.Equal(-0.15, table.Find("voltage dip on load increase", "G3")!.Lower);
        Assert.Null(table.Find("frequency droop", "G4"));
        double[] Uppers(string quantity) =>
            [.. table.JudgeAll(quantity, new Estimate(0, 0)).Select(s => s.Limit.Upper!.Value)];
    }

    [Fact]
    public void A_value_too_close_to_a_class_limit_is_undecided()
    {
        var standings = ClassLimits
            .FromMemory()
            .JudgeAll("frequency droop", new Estimate(0.049, 0.001))
            .Select(s => s.Verdict);

        Assert.Equal([Verdict.Pass, Verdict.Undecided, Verdict.Fail], standings);
    }

    [Theory]
    [InlineData("quantity,class\n", "own.csv(1)")]
    [InlineData("quantity,class,lower,upper,unit,status\ndroop,G1,,a,ratio,x\n", "own.csv(2): \"a\" is not a number")]
    [InlineData("quantity,class,lower,upper,unit,status\n\ndroop,G1,,,ratio,x\n", "own.csv(3): limits")]
    [InlineData("quantity,class,lower,upper,unit,status\ndroop,G1,2,1,ratio,x\n", "own.csv(2): limits")]
    public void A_line_that_is_no_limit_is_named(string text, string where) =>
        Assert.Contains(where, Assert.Throws<FormatException>(() => ClassLimits.Parse(text, "own.csv")).Message);
}
