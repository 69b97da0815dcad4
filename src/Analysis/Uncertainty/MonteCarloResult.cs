namespace LoadTest.Analysis.Uncertainty;

/// <summary>What a Monte Carlo propagation found, and whether the linear result may be used.</summary>
/// <param name="Trials">Trials made.</param>
/// <param name="Mean">Mean of the measurand.</param>
/// <param name="StandardUncertainty">Standard deviation of the measurand.</param>
/// <param name="Low">Lower end of the probabilistically symmetric interval.</param>
/// <param name="High">Its upper end.</param>
/// <param name="ShortestLow">Lower end of the shortest interval.</param>
/// <param name="ShortestHigh">Its upper end.</param>
/// <param name="CoverageProbability">Coverage probability of both intervals.</param>
/// <param name="Tolerance">δ: half of the last digit of u that counts.</param>
/// <param name="IsStable">Whether the digits became stable; false when the trials ran out or were fixed.</param>
public sealed record MonteCarloResult(
    int Trials,
    double Mean,
    double StandardUncertainty,
    double Low,
    double High,
    double ShortestLow,
    double ShortestHigh,
    double CoverageProbability,
    double Tolerance,
    bool IsStable
)
{
    /// <summary>Hold the linear result against this one.</summary>
    /// <param name="budget">The linear budget of the same model.</param>
    /// <param name="digits">Significant digits of u that must agree, 1 or 2.</param>
    /// <remarks>d_low = |y − U − y_low|, d_high = |y + U − y_high|; the linear result may be used when both are at most δ
    /// (JCGM 101:2008, 8.1). U is taken at this result's coverage probability.</remarks>
    public LinearCheck Check(Budget budget, int digits = 2)
    {
        ArgumentNullException.ThrowIfNull(budget);
        var combined = budget.Combined;
        var expanded = Coverage.Factor(CoverageProbability, combined.DegreesOfFreedom) * combined.StandardUncertainty;
        double low = Math.Abs(combined.Value - expanded - Low),
            high = Math.Abs(combined.Value + expanded - High),
            tolerance = MonteCarlo.ToleranceOf(combined.StandardUncertainty, digits);
        return new(low, high, tolerance, low <= tolerance && high <= tolerance);
    }
}

/// <summary>Tolerance test of a linear result against Monte Carlo.</summary>
/// <param name="LowDifference">Difference of the lower ends.</param>
/// <param name="HighDifference">Difference of the upper ends.</param>
/// <param name="Tolerance">δ both may reach.</param>
/// <param name="MayUseLinear">Whether the linear result may be used.</param>
public sealed record LinearCheck(double LowDifference, double HighDifference, double Tolerance, bool MayUseLinear)
{
    /// <summary>The finding in a sentence.</summary>
    /// <param name="unit">Unit of the measurand.</param>
    public string Describe(string unit) =>
        MayUseLinear
            ? $"Monte Carlo confirms the linear result: interval ends differ by {Figures.Of(LowDifference)} {unit} and {Figures.Of(HighDifference)} {unit}, {Figures.Of(Tolerance)} {unit} allowed."
            : $"The linear result is not good enough here: interval ends differ from Monte Carlo by {Figures.Of(LowDifference)} {unit} and {Figures.Of(HighDifference)} {unit}, {Figures.Of(Tolerance)} {unit} allowed. Use the Monte Carlo interval.";
}
