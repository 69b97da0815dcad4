namespace LoadTest.Analysis.Decision;

/// <summary>The four statements of a non-binary rule with guard band.</summary>
/// <remarks>ILAC-G8:09/2019, 4.2.3.</remarks>
public enum FourWayStatement
{
    /// <summary>Inside the acceptance interval.</summary>
    Pass,

    /// <summary>Inside the tolerance, within the guard band of a limit.</summary>
    ConditionalPass,

    /// <summary>Outside the tolerance, within the guard band of a limit.</summary>
    ConditionalFail,

    /// <summary>Outside the tolerance by more than the guard band.</summary>
    Fail,
}

/// <summary>A result held against its limit: verdict, risks, acceptance limits, and why in words.</summary>
public sealed record Judgement
{
    /// <summary>The verdict by the rule.</summary>
    public required Verdict Verdict { get; init; }

    /// <summary>What was judged; null when not tested.</summary>
    public Estimate? Estimate { get; init; }

    /// <summary>The limit.</summary>
    public required ToleranceLimit Limit { get; init; }

    /// <summary>The decision rule; null when not tested.</summary>
    public DecisionRule? Rule { get; init; }

    /// <summary>Expanded uncertainty U = k·u, in the unit of the result.</summary>
    public double Expanded { get; init; }

    /// <summary>Coverage factor k.</summary>
    public double CoverageFactor { get; init; }

    /// <summary>Guard band w between tolerance and acceptance limit, in the unit of the result.</summary>
    public double GuardBand { get; init; }

    /// <summary>Smallest value that passes; negative infinity when none is too small, NaN when none passes.</summary>
    public double AcceptanceLower { get; init; }

    /// <summary>Largest value that passes; positive infinity when none is too large, NaN when none passes.</summary>
    public double AcceptanceUpper { get; init; }

    /// <summary>Test uncertainty ratio, tolerance width over 2U; null for a one-sided limit or U = 0.</summary>
    public double? TestUncertaintyRatio { get; init; }

    /// <summary>Probability that the true value is outside the limit given this result: the risk that a bad one is passed, where it passes.</summary>
    public double RiskOfPassing { get; init; }

    /// <summary>Probability of conformity, the true value inside the limit given this result: the risk that a good one is failed, where it fails.</summary>
    public double RiskOfFailing { get; init; }

    /// <summary>Signed distance of the value to the nearest limit: positive inside, negative outside.</summary>
    public double Margin { get; init; }

    /// <summary>The four-way statement; null when not tested.</summary>
    public FourWayStatement? FourWay { get; init; }

    /// <summary>One or two sentences for the report.</summary>
    public required string Words { get; init; }
}
