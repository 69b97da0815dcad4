namespace LoadTest.Analysis.MachineAccuracy;

/// <summary>What is held against the actual value.</summary>
public enum AccuracyQuantity
{
    /// <summary>The value set on the machine's control.</summary>
    Set,

    /// <summary>The value the machine's own meter shows.</summary>
    Indicated,
}

/// <summary>One row of a table of grades.</summary>
/// <param name="Grade">Name of the grade.</param>
/// <param name="Quantity">Set or indicated.</param>
/// <param name="From">Lowest part of the maximum setting the row holds for, 0 to 1.</param>
/// <param name="To">Highest part of the maximum setting, 0 to 1.</param>
/// <param name="IsOfMaximum">Whether the limit is a part of the maximum setting; otherwise of the actual value.</param>
/// <param name="Limit">Half-width as a ratio, above zero: 0.1 is ± 10 %.</param>
/// <param name="Status">Standard and edition the figure was taken from, or that it is from memory.</param>
public sealed record GradeLimit(
    string Grade,
    AccuracyQuantity Quantity,
    double From,
    double To,
    bool IsOfMaximum,
    double Limit,
    string Status
)
{
    /// <summary>Half-width of the limit at a point, in the unit of the values.</summary>
    /// <param name="actual">Actual value.</param>
    /// <param name="maximum">Maximum setting.</param>
    /// <exception cref="ArgumentException">A value is no number, or the maximum setting not above zero.</exception>
    public double HalfWidth(double actual, double maximum)
    {
        Given.Finite("Actual value", actual, "");
        Given.Positive("Maximum setting", maximum, "");
        return Limit * (IsOfMaximum ? maximum : Math.Abs(actual));
    }
}
