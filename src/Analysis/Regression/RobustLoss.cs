namespace LoadTest.Analysis.Regression;

/// <summary>How a robust fit weighs a residual far from the others.</summary>
public enum RobustLoss
{
    /// <summary>Weight 1 within 1.345 scales, falling as 1/distance beyond (Huber, 1964); 95 % efficient on normal errors.</summary>
    Huber,

    /// <summary>Weight falls smoothly to 0 at 4.685 scales (Beaton and Tukey, 1974); 95 % efficient on normal errors.</summary>
    Bisquare,
}
