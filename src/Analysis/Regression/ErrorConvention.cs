namespace LoadTest.Analysis.Regression;

/// <summary>Which points the standard errors of a line with errors in both axes are worked out at.</summary>
/// <remarks>Several conventions are in circulation and differ in the third digit; a number without its convention says little.</remarks>
public enum ErrorConvention
{
    /// <summary>At the adjusted points on the line (York and others, 2004; orthogonal distance regression; ISO/TS 28037).</summary>
    AdjustedPoints,

    /// <summary>At the observed points (York, 1966 and 1969).</summary>
    ObservedPoints,
}
