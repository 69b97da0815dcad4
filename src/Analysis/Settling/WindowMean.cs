namespace LoadTest.Analysis.Settling;

/// <summary>Mean of a settled window with an uncertainty that knows its readings lean on each other.</summary>
/// <param name="Count">Readings averaged.</param>
/// <param name="Mean">Arithmetic mean of all of them, outliers included.</param>
/// <param name="StandardDeviation">Sample standard deviation s (n − 1) of single readings.</param>
/// <param name="Lag1">Lag-1 autocorrelation coefficient, −1 to 1; zero when the readings do not vary.</param>
/// <param name="EffectiveCount">Number of independent readings that would say as much, 1 to <paramref name="Count"/>.</param>
/// <param name="Outliers">Readings further from the median than the Hampel limit; flagged, still averaged.</param>
/// <param name="Estimate">Mean, u and ν; null when the readings cannot say how well they agree.</param>
public readonly record struct WindowMean(
    int Count,
    double Mean,
    double StandardDeviation,
    double Lag1,
    double EffectiveCount,
    int Outliers,
    Estimate? Estimate
)
{
    /// <summary>One sentence with the figures a report prints.</summary>
    /// <param name="unit">Unit of the readings.</param>
    public string Describe(string unit)
    {
        var (u, factor) = Figures.Scaled(unit, StandardDeviation);
        var mean = Figures.To(Mean * factor, StandardDeviation * factor);
        return Estimate is { } e
            ? $"Mean {mean} {u} of {Count} readings (worth {EffectiveCount:0.#} independent ones), s = {Figures.Of(StandardDeviation * factor)} {u}, u = {Figures.Of(e.StandardUncertainty * factor)} {u}{(Outliers > 0 ? $"; {Outliers} flagged as outliers, not dropped" : "")}."
            : $"Mean {mean} {u} of {Count} readings worth {EffectiveCount:0.#} independent ones: too few to say how well they agree.";
    }
}
