using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Decision;

/// <summary>Holds results against limits by an agreed decision rule.</summary>
public static class Conformity
{
    /// <summary>Judge an estimate against a limit.</summary>
    /// <param name="estimate">Value, u and ν, in the unit of the limit.</param>
    /// <param name="coverageFactor">k that makes U = k·u, above zero.</param>
    /// <param name="limit">What is allowed.</param>
    /// <param name="rule">The decision rule agreed beforehand.</param>
    /// <returns>Verdict with risks, acceptance limits and words.</returns>
    /// <exception cref="ArgumentException">A number is NaN, infinite or out of its range.</exception>
    /// <remarks>
    /// Pass when the value lies in the acceptance interval [TL + w, TU − w]; fail when it lies outside [TL − w, TU + w];
    /// undecided between them. JCGM 106:2012, 7 and 8; ILAC-G8:09/2019, 4.2. Risks are the specific ones of JCGM
    /// 106:2012, 7.2, by a normal, or by Student t with scale u when ν is finite. Worked number: −5.47 V, u = 0.05 V,
    /// at most −5.40 V conforms with probability Φ(1.4) = 0.919.
    /// </remarks>
    public static Judgement Judge(Estimate estimate, double coverageFactor, ToleranceLimit limit, DecisionRule rule)
    {
        ArgumentNullException.ThrowIfNull(limit);
        ArgumentNullException.ThrowIfNull(rule);
        Guard.Sane(estimate, "Decision");
        Guard.Positive(coverageFactor, "Decision", "coverage factor");
        var expanded = coverageFactor * estimate.StandardUncertainty;
        var tur = TestUncertaintyRatio(limit, expanded);
        var inside = ProbabilityInside(estimate, limit);
        var outside = ProbabilityOutside(estimate, limit);
        var fixedBand = rule.GuardBandWidth(estimate.StandardUncertainty, expanded, tur, limit);
        var acceptance = fixedBand is { } w
            ? Acceptance.ByGuardBand(limit, w)
            : Acceptance.ByRisk(estimate, limit, rule.Parameter);
        var verdict = fixedBand is { } band
            ? ByGuardBand(estimate.Value, limit, acceptance, band)
            : ByRisk(limit.Allows(estimate.Value), inside, outside, rule.Parameter);
        var judgement = new Judgement
        {
            Verdict = verdict,
            Estimate = estimate,
            Limit = limit,
            Rule = rule,
            Expanded = expanded,
            CoverageFactor = coverageFactor,
            GuardBand = acceptance.GuardBand,
            AcceptanceLower = acceptance.Lower,
            AcceptanceUpper = acceptance.Upper,
            TestUncertaintyRatio = tur,
            RiskOfPassing = outside,
            RiskOfFailing = inside,
            Margin = limit.Margin(estimate.Value),
            FourWay = FourWay(estimate.Value, limit, acceptance.GuardBand),
            Words = "",
        };
        return judgement with { Words = JudgementWords.For(judgement) };
    }

    /// <summary>Judge the result of a budget at the budget's own coverage factor.</summary>
    /// <param name="budget">A budget whose measurand has the unit of the limit.</param>
    /// <param name="limit">What is allowed.</param>
    /// <param name="rule">The decision rule agreed beforehand.</param>
    public static Judgement Judge(Budget budget, ToleranceLimit limit, DecisionRule rule)
    {
        ArgumentNullException.ThrowIfNull(budget);
        return Judge(budget.Combined, budget.CoverageFactor, limit, rule);
    }

    /// <summary>The judgement of something that was not measured.</summary>
    /// <param name="limit">What would have been allowed.</param>
    /// <param name="reason">Why there is no result, a whole sentence.</param>
    public static Judgement NotTested(ToleranceLimit limit, string reason)
    {
        ArgumentNullException.ThrowIfNull(limit);
        ArgumentException.ThrowIfNullOrWhiteSpace(reason);
        return new()
        {
            Verdict = Verdict.NotTested,
            Limit = limit,
            AcceptanceLower = double.NaN,
            AcceptanceUpper = double.NaN,
            RiskOfPassing = double.NaN,
            RiskOfFailing = double.NaN,
            Margin = double.NaN,
            Words = $"Not tested against {limit}: {reason}",
        };
    }

    /// <summary>The judgement of something whose evidence is missing: it may have been measured, with any result.</summary>
    /// <param name="limit">What would have been allowed.</param>
    /// <param name="reason">What is missing, a whole sentence.</param>
    public static Judgement Unknown(ToleranceLimit limit, string reason) =>
        NotTested(limit, reason) with
        {
            Verdict = Verdict.Unknown,
            Words = $"Unknown against {limit}: {reason}",
        };

    /// <summary>Probability that the true value lies within the limit, given the estimate.</summary>
    /// <param name="estimate">Value, u and ν.</param>
    /// <param name="limit">What is allowed.</param>
    /// <remarks>p_c = F((TU − y)/u) − F((TL − y)/u), JCGM 106:2012, 7.2.1 to 7.4.</remarks>
    public static double ProbabilityInside(Estimate estimate, ToleranceLimit limit)
    {
        ArgumentNullException.ThrowIfNull(limit);
        Guard.Sane(estimate, "Probability of conformity");
        return estimate.StandardUncertainty == 0
            ? limit.Allows(estimate.Value)
                ? 1
                : 0
            : Math.Clamp(Coverage.Below(limit.Upper, estimate) - Coverage.Below(limit.Lower, estimate), 0, 1);
    }

    internal static double ProbabilityOutside(Estimate estimate, ToleranceLimit limit) =>
        estimate.StandardUncertainty == 0
            ? limit.Allows(estimate.Value)
                ? 0
                : 1
            : Math.Clamp(Coverage.Below(limit.Lower, estimate) + Coverage.Above(limit.Upper, estimate), 0, 1);

    /// <summary>Test uncertainty ratio: width of the tolerance over twice the expanded uncertainty.</summary>
    /// <param name="limit">What is allowed.</param>
    /// <param name="expanded">U, in the unit of the limit.</param>
    /// <returns>Null for a one-sided limit, where it is not defined, and for U = 0.</returns>
    /// <remarks>ANSI/NCSL Z540.3-2006, 3.11 (from memory). Worked number: ± 1 % with U = 0.25 % is 4:1.</remarks>
    public static double? TestUncertaintyRatio(ToleranceLimit limit, double expanded)
    {
        ArgumentNullException.ThrowIfNull(limit);
        Guard.NotNegative(expanded, "Test uncertainty ratio", "expanded uncertainty");
        return limit.IsTwoSided && expanded > 0 ? limit.Width / (2 * expanded) : null;
    }

    private static Verdict ByGuardBand(double value, ToleranceLimit limit, in Acceptance acceptance, double w) =>
        limit.Allows(value) && value >= acceptance.Lower && value <= acceptance.Upper ? Verdict.Pass
        : -limit.Margin(value) > w ? Verdict.Fail
        : Verdict.Undecided;

    // A value inside the limit never fails: where the limit is narrower than the uncertainty the meters cannot decide.
    private static Verdict ByRisk(bool allowed, double inside, double outside, double largestRisk) =>
        outside <= largestRisk ? Verdict.Pass
        : inside <= largestRisk && !allowed ? Verdict.Fail
        : Verdict.Undecided;

    private static FourWayStatement FourWay(double value, ToleranceLimit limit, double w)
    {
        var margin = limit.Margin(value);
        return margin >= 0
            ? margin >= w
                ? FourWayStatement.Pass
                : FourWayStatement.ConditionalPass
            : -margin > w
                ? FourWayStatement.Fail
                : FourWayStatement.ConditionalFail;
    }
}
