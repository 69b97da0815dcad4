namespace LoadTest.Analysis.Decision;

/// <summary>What one result says against one limit.</summary>
public enum Verdict
{
    /// <summary>Nothing was measured, or nothing that may be judged.</summary>
    NotTested,

    /// <summary>Within the limit by what the decision rule asks.</summary>
    Pass,

    /// <summary>Outside the limit by what the decision rule asks.</summary>
    Fail,

    /// <summary>Too close to the limit for these meters.</summary>
    Undecided,

    /// <summary>Evidence is missing that could give any verdict; never computed from numbers.</summary>
    Unknown,
}
