namespace LoadTest.AnalysisTests.Regression;

/// <summary>Data of the NIST/SEMATECH e-Handbook of Statistical Methods (US Government work).</summary>
internal static class HandbookData
{
    /// <summary>Load-cell calibration, file LOADCELL.DAT: load level and measured response.</summary>
    public static readonly (double Load, double Deflection)[] LoadCell =
    [
        (2, 0.20024),
        (2, 0.20016),
        (2, 0.20024),
        (4, 0.40056),
        (4, 0.40045),
        (4, 0.40054),
        (6, 0.60087),
        (6, 0.60075),
        (6, 0.60086),
        (8, 0.80130),
        (8, 0.80122),
        (8, 0.80127),
        (10, 1.00173),
        (10, 1.00164),
        (10, 1.00173),
        (12, 1.20227),
        (12, 1.20218),
        (12, 1.20227),
        (14, 1.40282),
        (14, 1.40278),
        (14, 1.40279),
        (16, 1.60344),
        (16, 1.60339),
        (16, 1.60341),
        (18, 1.80412),
        (18, 1.80409),
        (18, 1.80411),
        (20, 2.00485),
        (20, 2.00481),
        (20, 2.00483),
        (21, 2.10526),
        (21, 2.10524),
        (21, 2.10524),
    ];
}
