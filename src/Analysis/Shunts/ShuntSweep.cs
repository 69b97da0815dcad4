using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>A shunt sweep as it was measured, with what its analysis needs to know.</summary>
public sealed record ShuntSweep
{
    /// <summary>Rating of the unit's shunt.</summary>
    public required ShuntRating Rating { get; init; }

    /// <summary>Points, any order, at least three with different currents.</summary>
    public required IReadOnlyList<ShuntPoint> Points { get; init; }

    /// <summary>Zero reading before the sweep, leads on; null when none was taken.</summary>
    public ZeroReading? ZeroBefore { get; init; }

    /// <summary>Zero reading right after the sweep, leads on; null when none was taken.</summary>
    public ZeroReading? ZeroAfter { get; init; }

    /// <summary>Temperature of the unit's shunt; null leaves the ratio as measured.</summary>
    public ShuntTemperature? Temperature { get; init; }

    /// <summary>Relative inputs common to all points: reference certificate, meter gains, temperature, non-simultaneity.</summary>
    /// <remarks>Each u is a fraction of the ratio; the value is a relative correction already applied and is not used. The sensitivity is
    /// the sign: +1 for what raises the drop, −1 for what raises the reference current.</remarks>
    public IReadOnlyList<UncertaintyInput> Common { get; init; } = [];

    /// <summary>Inputs that move the line's end at no current, sensitivities in mV per their unit: linearity of the meters, thermal EMF.</summary>
    public IReadOnlyList<UncertaintyInput> Intercept { get; init; } = [];

    /// <summary>Correlations between the common inputs: two readings of one meter.</summary>
    public IReadOnlyList<Correlation> Correlations { get; init; } = [];

    /// <summary>Allowed ratio, mV/A; null when it is only reported.</summary>
    public ToleranceLimit? Limit { get; init; }

    /// <summary>Decision rule for <see cref="Limit"/>.</summary>
    public DecisionRule Rule { get; init; } = DecisionRule.GuardBandU;

    /// <summary>Coverage probability of the budget.</summary>
    public double CoverageProbability { get; init; } = Coverage.Conventional;

    /// <summary>Analyse the sweep; see <see cref="ShuntRatio"/>.</summary>
    /// <exception cref="ArgumentException">Too few points, equal currents, or a number out of its range.</exception>
    public ShuntRatio Analyse() => ShuntRatioAnalysis.Of(this);
}
