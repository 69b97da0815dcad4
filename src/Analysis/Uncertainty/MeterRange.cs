namespace LoadTest.Analysis.Uncertainty;

/// <summary>One range of a meter with its accuracy as data sheets give it: ± (% of reading + % of range + counts).</summary>
/// <remarks>Every number is of the meter's unit; percent are percent (0.05 for 0.05 %), zero or more.</remarks>
public sealed record MeterRange
{
    /// <summary>Full scale of the range, in the meter's unit, above zero; what "% of range" is of.</summary>
    public required double FullScale { get; init; }

    /// <summary>Largest indication the range can show, at or above full scale; full scale when null.</summary>
    public double? LargestIndication { get; init; }

    /// <summary>Percent of the reading's magnitude.</summary>
    public double PercentOfReading { get; init; }

    /// <summary>Percent of full scale.</summary>
    public double PercentOfRange { get; init; }

    /// <summary>Counts of the last digit.</summary>
    public double Counts { get; init; }

    /// <summary>Size of one count, in the meter's unit, zero or more; also the resolution.</summary>
    public double CountSize { get; init; }

    /// <summary>Percent of reading added for each kelvin outside the specification's temperature band.</summary>
    public double PercentOfReadingPerKelvin { get; init; }

    /// <summary>Percent of full scale added for each kelvin outside the band.</summary>
    public double PercentOfRangePerKelvin { get; init; }

    internal void Check()
    {
        Guard.Positive(FullScale, "Meter range", "full scale");
        foreach (var (value, what) in Amounts())
            Guard.NotNegative(value, $"Meter range {Figures.Of(FullScale, 6)}", what);
        Guard.Require(
            LargestIndication is not { } largest || (Given.IsNumber(largest) && largest >= FullScale),
            $"Meter range {Figures.Of(FullScale, 6)}: the largest indication is {Figures.Of(LargestIndication ?? 0, 6)}; it must be {Figures.Of(FullScale, 6)} or more."
        );
    }

    private IEnumerable<(double Value, string What)> Amounts() =>
        [
            (PercentOfReading, "percent of reading"),
            (PercentOfRange, "percent of range"),
            (Counts, "number of counts"),
            (CountSize, "size of a count"),
            (PercentOfReadingPerKelvin, "percent of reading per kelvin"),
            (PercentOfRangePerKelvin, "percent of range per kelvin"),
        ];
}
