namespace LoadTest.Analysis.Uncertainty;

/// <summary>How far a Monte Carlo propagation goes.</summary>
public sealed record MonteCarloOptions
{
    /// <summary>Coverage probability of the intervals, between 0 and 1.</summary>
    public double CoverageProbability { get; init; } = 0.95;

    /// <summary>Significant digits of u that must be stable, 1 or 2.</summary>
    public int Digits { get; init; } = 2;

    /// <summary>Trials when not adaptive; null runs blocks until the digits are stable (JCGM 101:2008, 7.9).</summary>
    public int? Trials { get; init; }

    /// <summary>Most trials of an adaptive run.</summary>
    public int MostTrials { get; init; } = 5_000_000;

    internal void Check()
    {
        Guard.Probability(CoverageProbability, "Monte Carlo");
        Guard.Require(Digits is 1 or 2, $"Monte Carlo: {Digits} significant digits asked for; 1 or 2 are allowed.");
        Guard.Require(
            Trials is null or >= 1000,
            $"Monte Carlo: {Trials} trials asked for; an interval needs 1000 or more."
        );
    }
}
