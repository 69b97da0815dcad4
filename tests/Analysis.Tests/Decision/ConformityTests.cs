using CsCheck;
using LoadTest.Analysis;
using LoadTest.Analysis.Decision;

namespace LoadTest.AnalysisTests.Decision;

public class ConformityTests
{
    private const double K = 2;

    [Fact]
    public void One_sided_example_of_JCGM_106_has_its_conformance_probability()
    {
        // JCGM 106:2012, inputs from memory: −5.47 V, u 0.05 V, upper limit −5.40 V; p_c = 0.9192 (computed).
        var found = Conformity.ProbabilityInside(new Estimate(-5.47, 0.05), ToleranceLimit.AtMost(-5.40, "V"));
        Assert.Equal(0.9192433, found, 7);
    }

    [Theory]
    [InlineData(0.0, 0.5)]
    [InlineData(1.0, 0.0227501319)]
    [InlineData(0.83, 0.0484572)]
    [InlineData(1.5, 0.0013498980)]
    [InlineData(3.0, 9.8658765e-10)]
    public void Risk_at_the_acceptance_limit_is_what_ILAC_G8_tabulates(double r, double risk)
    {
        // ILAC-G8:09/2019, table 1: w = 0 ≤ 50 %, w = U < 2.5 % read; 0.83 U < 5 %, 1.5 U < 0.16 %, 3 U < 1 ppm from memory;
        // the percentages computed for k = 2.
        var limit = ToleranceLimit.AtMost(10, "V");
        var judgement = Conformity.Judge(new Estimate(10 - r * K * 0.1, 0.1), K, limit, DecisionRule.GuardBand(r));
        Assert.Equal(risk, judgement.RiskOfPassing, Math.Max(1e-12, risk * 2e-6));
    }

    [Theory]
    [InlineData(0.0017, Verdict.Pass)]
    [InlineData(0.0025, Verdict.Undecided)]
    [InlineData(0.0045, Verdict.Fail)]
    public void Guarded_micrometer_accepts_within_two_micrometres(double deviation, Verdict verdict)
    {
        // Training page (read): MPE ± 0.003 mm, U 0.0010, acceptance limit ± 0.002; 0.0017 passes, 0.0025 does not.
        var limit = ToleranceLimit.PlusMinus(0, 0.003, "mm");
        var judgement = Conformity.Judge(new Estimate(deviation, 0.0005), K, limit, DecisionRule.GuardBandU);
        Assert.Equal(verdict, judgement.Verdict);
        Assert.Equal(0.002, judgement.AcceptanceUpper, 12);
        Assert.Equal(3.0, judgement.TestUncertaintyRatio!.Value, 12);
    }

    [Theory]
    [InlineData(0.4, FourWayStatement.Pass)]
    [InlineData(0.9, FourWayStatement.ConditionalPass)]
    [InlineData(1.1, FourWayStatement.ConditionalFail)]
    [InlineData(1.6, FourWayStatement.Fail)]
    public void Four_way_statement_follows_ILAC_G8(double value, FourWayStatement expected)
    {
        // ILAC-G8:09/2019, 4.2.3 (read): pass, conditional pass [TL − w, TL], conditional fail [TL, TL + w], fail.
        var judgement = Conformity.Judge(
            new Estimate(value, 0.25),
            K,
            ToleranceLimit.AtMost(1),
            DecisionRule.GuardBandU
        );
        Assert.Equal(expected, judgement.FourWay);
    }

    [Fact]
    public void Four_to_one_accepts_plainly_from_a_ratio_of_four_and_guards_below()
    {
        // ANSI/NCSL Z540.3-2006, 5.3 b (quoted by assessor training, read): TUR at least 4:1 where the risk is not estimated.
        var limit = ToleranceLimit.PlusMinus(0, 1);
        var good = Conformity.Judge(new Estimate(0.99, 0.125), K, limit, DecisionRule.FourToOne);
        Assert.Equal((Verdict.Pass, 0.0, 4.0), (good.Verdict, good.GuardBand, good.TestUncertaintyRatio!.Value));
        var poor = Conformity.Judge(new Estimate(0.9, 0.2), K, limit, DecisionRule.FourToOne);
        Assert.Equal((Verdict.Undecided, 0.4), (poor.Verdict, poor.GuardBand));
        var oneSided = Conformity.Judge(new Estimate(0.9, 0.1), K, ToleranceLimit.AtMost(1), DecisionRule.FourToOne);
        Assert.Null(oneSided.TestUncertaintyRatio);
        Assert.Equal(Verdict.Undecided, oneSided.Verdict);
    }

    [Fact]
    public void A_chosen_risk_puts_the_acceptance_limit_where_the_risk_is_reached()
    {
        var limit = ToleranceLimit.AtMost(10);
        var judgement = Conformity.Judge(new Estimate(5, 0.1), K, limit, DecisionRule.SpecificRisk(0.02));
        // Φ⁻¹(0.98) = 2.0537489 (computed): 10 − 0.20537489.
        Assert.Equal(9.794625109, judgement.AcceptanceUpper, 8);
        var narrow = Conformity.Judge(
            new Estimate(0, 1),
            K,
            ToleranceLimit.PlusMinus(0, 1),
            DecisionRule.SpecificRisk(0.02)
        );
        Assert.Equal(Verdict.Undecided, narrow.Verdict);
        Assert.True(double.IsNaN(narrow.AcceptanceUpper));
        Assert.Contains("no value inside the limit could pass", narrow.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Few_degrees_of_freedom_make_the_risk_larger()
    {
        var limit = ToleranceLimit.AtMost(10);
        var many = Conformity.Judge(new Estimate(9.8, 0.1), K, limit, DecisionRule.SimpleAcceptance);
        var few = Conformity.Judge(new Estimate(9.8, 0.1, 3), K, limit, DecisionRule.SimpleAcceptance);
        Assert.True(few.RiskOfPassing > 2 * many.RiskOfPassing);
    }

    [Fact]
    public void Nothing_measured_is_not_tested_and_says_why()
    {
        var judgement = Conformity.NotTested(ToleranceLimit.AtLeast(62, "V"), "the meter was overloaded.");
        Assert.Equal(Verdict.NotTested, judgement.Verdict);
        Assert.Contains("at least 62 V: the meter was overloaded.", judgement.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Not_a_number_is_never_judged()
    {
        var limit = ToleranceLimit.AtMost(1);
        var rule = DecisionRule.SimpleAcceptance;
        Assert.Throws<ArgumentException>(() => Conformity.Judge(new Estimate(double.NaN, 1), K, limit, rule));
        Assert.Throws<ArgumentException>(() => Conformity.Judge(new Estimate(0, double.NaN), K, limit, rule));
        Assert.Throws<ArgumentException>(() => Conformity.Judge(new Estimate(0, 1), double.NaN, limit, rule));
        Assert.Throws<ArgumentException>(() => ToleranceLimit.AtMost(double.NaN));
        Assert.Throws<ArgumentException>(() => ToleranceLimit.TwoSided(2, 1));
        Assert.Throws<ArgumentException>(() => DecisionRule.SpecificRisk(0.6));
        Assert.Throws<ArgumentException>(() => DecisionRule.GuardBand(-0.1));
    }

    private static readonly Gen<DecisionRule> Rules = Gen.OneOf(
        Gen.Const(DecisionRule.SimpleAcceptance),
        Gen.Double[0, 3].Select(DecisionRule.GuardBand),
        Gen.Double[0.001, 0.49].Select(DecisionRule.SpecificRisk),
        Gen.Const(DecisionRule.FourToOne)
    );

    private static readonly Gen<ToleranceLimit> Limits = Gen.Select(Gen.Double[-5, 5], Gen.Double[0, 5], Gen.Int[0, 2])
        .Select(
            (a, width, kind) =>
                kind switch
                {
                    0 => ToleranceLimit.AtMost(a),
                    1 => ToleranceLimit.AtLeast(a),
                    _ => ToleranceLimit.TwoSided(a, a + width),
                }
        );

    private static readonly Gen<Estimate> Estimates = Gen.Select(
            Gen.Double[-10, 10],
            Gen.OneOf(Gen.Double[0, 3], Gen.Const(0.0)),
            Gen.OneOf(Gen.Double[1, 50], Gen.Const(double.PositiveInfinity))
        )
        .Select((y, u, nu) => new Estimate(y, u, nu));

    [Fact]
    public void A_verdict_never_passes_what_the_rule_forbids()
    {
        Gen.Select(Estimates, Limits, Rules, Gen.Double[1, 4])
            .Sample(
                (estimate, limit, rule, k) =>
                {
                    var j = Conformity.Judge(estimate, k, limit, rule);
                    if (j.Verdict == Verdict.Pass)
                    {
                        if (!limit.Allows(estimate.Value))
                            return false;
                        var w = rule.Kind switch
                        {
                            DecisionRuleKind.GuardBand => rule.Parameter * k * estimate.StandardUncertainty,
                            DecisionRuleKind.FourToOne when !(j.TestUncertaintyRatio >= 4) => k
                                * estimate.StandardUncertainty,
                            _ => 0,
                        };
                        if (limit.Margin(estimate.Value) < w - 1e-12)
                            return false;
                        if (rule.Kind == DecisionRuleKind.SpecificRisk && j.RiskOfPassing > rule.Parameter)
                            return false;
                    }
                    // What lies inside the tolerance never fails, whatever the rule.
                    return j.Verdict != Verdict.Fail || !limit.Allows(estimate.Value);
                },
                iter: 20000
            );
    }

    [Fact]
    public void Verdict_and_acceptance_limits_agree()
    {
        Gen.Select(Estimates, Limits, Rules, Gen.Double[1, 4])
            .Sample(
                (estimate, limit, rule, k) =>
                {
                    var j = Conformity.Judge(estimate, k, limit, rule);
                    var y = estimate.Value;
                    var edge = 1e-6 * (1 + Math.Abs(y));
                    var inside = y >= j.AcceptanceLower + edge && y <= j.AcceptanceUpper - edge;
                    var outside = !(y >= j.AcceptanceLower - edge && y <= j.AcceptanceUpper + edge);
                    return (!inside || j.Verdict == Verdict.Pass) && (!outside || j.Verdict != Verdict.Pass);
                },
                iter: 20000
            );
    }

    [Fact]
    public void More_uncertainty_never_turns_another_verdict_into_a_pass_under_a_guard_band()
    {
        Gen.Select(Estimates, Limits, Gen.Double[0.1, 3], Gen.Double[1, 3])
            .Sample(
                (estimate, limit, r, factor) =>
                {
                    var rule = DecisionRule.GuardBand(r);
                    var wider = estimate with { StandardUncertainty = estimate.StandardUncertainty * factor };
                    return Conformity.Judge(wider, K, limit, rule).Verdict != Verdict.Pass
                        || Conformity.Judge(estimate, K, limit, rule).Verdict == Verdict.Pass;
                },
                iter: 10000
            );
    }

    [Fact]
    public void A_mirror_image_gets_the_same_verdict_and_a_change_of_unit_too()
    {
        Gen.Select(Estimates, Limits, Rules, Gen.OneOf(0.5, 1024.0))
            .Sample(
                (estimate, limit, rule, unit) =>
                {
                    var a = Conformity.Judge(estimate, K, limit, rule).Verdict;
                    var mirror = Map(limit, v => -v);
                    var b = Conformity.Judge(estimate with { Value = -estimate.Value }, K, mirror, rule).Verdict;
                    var scaled = new Estimate(
                        estimate.Value * unit,
                        estimate.StandardUncertainty * unit,
                        estimate.DegreesOfFreedom
                    );
                    var c = Conformity.Judge(scaled, K, Map(limit, v => v * unit), rule).Verdict;
                    return a == b && a == c;
                },
                iter: 10000
            );

        static ToleranceLimit Map(ToleranceLimit limit, Func<double, double> f)
        {
            double p = f(limit.Lower),
                q = f(limit.Upper);
            return (double.IsNegativeInfinity(Math.Min(p, q)), double.IsPositiveInfinity(Math.Max(p, q))) switch
            {
                (true, _) => ToleranceLimit.AtMost(Math.Max(p, q)),
                (_, true) => ToleranceLimit.AtLeast(Math.Min(p, q)),
                _ => ToleranceLimit.TwoSided(Math.Min(p, q), Math.Max(p, q)),
            };
        }
    }
}
