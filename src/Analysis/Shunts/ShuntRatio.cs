using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>What a shunt sweep says about the unit's shunt.</summary>
public sealed record ShuntRatio
{
    /// <summary>Rating the shunt was held against.</summary>
    public required ShuntRating Rating { get; init; }

    /// <summary>Ratio by regression with offset, mV/A, with the full budget's u and ν.</summary>
    public required Estimate Ratio { get; init; }

    /// <summary>Offset of the line at no current after the zero readings were taken off, mV.</summary>
    public Estimate Offset => OffsetBudget.Combined;

    /// <summary>Budget of that offset, mV.</summary>
    public required Budget OffsetBudget { get; init; }

    /// <summary>Budget of the ratio, mV/A.</summary>
    public required Budget Budget { get; init; }

    /// <summary>Ratio over rated ratio minus one, percent; negative when the shunt reads low.</summary>
    public required Estimate GainErrorPercent { get; init; }

    /// <summary>Error of the current a machine regulated by this shunt delivers, percent: opposite in sign to the gain error; null when the ratio is not positive.</summary>
    public Estimate? DeliveredErrorPercent { get; init; }

    /// <summary>The sweep point by point, in the order given.</summary>
    public required IReadOnlyList<ShuntPointResult> Points { get; init; }

    /// <summary>Largest distance of a point from the line, percent of rated drop.</summary>
    public required double NonlinearityPercent { get; init; }

    /// <summary>Curvature of the drop against current, with a test; null with fewer than four different currents.</summary>
    public ShuntCurvature? Curvature { get; init; }

    /// <summary>Difference of the way down from the way up at like currents; null when there are no such pairs.</summary>
    public ShuntHysteresis? Hysteresis { get; init; }

    /// <summary>Zero after minus zero before, mV; null unless both were read.</summary>
    public double? ZeroDriftMillivolts { get; init; }

    /// <summary>Smallest class index whose limits all points keep with their uncertainty; null when none of the series does.</summary>
    public double? WithinClass { get; init; }

    /// <summary>Verdict on the ratio; null when no limit was given.</summary>
    public Judgement? Judgement { get; init; }

    /// <summary>What a technician should know, whole sentences.</summary>
    public required IReadOnlyList<string> Findings { get; init; }
}

/// <summary>One point of a sweep held against the rating.</summary>
/// <param name="Point">The point as measured.</param>
/// <param name="CorrectedMillivolts">Drop with the zero reading taken off, mV.</param>
/// <param name="ErrorPercent">Drop over rated drop at this current, minus one, percent of reading.</param>
/// <param name="ExpandedPercent">Expanded uncertainty of that error, percent of reading.</param>
/// <param name="ResidualMillivolts">Distance from the line, mV.</param>
public readonly record struct ShuntPointResult(
    ShuntPoint Point,
    double CorrectedMillivolts,
    double ErrorPercent,
    double ExpandedPercent,
    double ResidualMillivolts
);

/// <summary>Curvature of drop against current, as the departure of the middle from the straight line.</summary>
/// <param name="SagPercent">Departure half way between lowest and highest current, percent of rated drop, positive above the chord.</param>
/// <param name="IsSignificant">Whether chance alone would show it in fewer than 5 of 100 sweeps.</param>
/// <param name="Probability">Probability of a curvature this large by chance.</param>
public readonly record struct ShuntCurvature(Estimate SagPercent, bool IsSignificant, double Probability);

/// <summary>Difference between the way down and the way up.</summary>
/// <param name="DifferencePercent">Mean of down minus up at like currents, percent of rated drop, u from the pairs' scatter; null with one pair.</param>
/// <param name="LargestPercent">Largest single difference by magnitude, with its sign, percent of rated drop.</param>
/// <param name="Pairs">Number of pairs.</param>
/// <param name="IsSignificant">Whether it exceeds its expanded uncertainty; false when one pair alone cannot say.</param>
public readonly record struct ShuntHysteresis(
    Estimate? DifferencePercent,
    double LargestPercent,
    int Pairs,
    bool IsSignificant
);
