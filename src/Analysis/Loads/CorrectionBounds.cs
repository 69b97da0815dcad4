namespace LoadTest.Analysis.Loads;

/// <summary>How far the bank may be corrected from its measured resistance in one load step.</summary>
/// <param name="MostCorrections">Most corrections in one load step, zero or more.</param>
/// <param name="MostRelative">Largest relative deviation of the elements that is corrected; beyond it something is wrong.</param>
public sealed record CorrectionBounds(int MostCorrections, double MostRelative)
{
    /// <summary>Two corrections, up to 5 %: common practice, no source.</summary>
    public static CorrectionBounds House => new(2, 0.05);
}
