using LoadTest.Analysis.Decision;

namespace LoadTest.Analysis.Ac;

/// <summary>One limit of one performance class.</summary>
/// <param name="Quantity">What is limited, as it is named in the table.</param>
/// <param name="Class">Name of the class, as G2.</param>
/// <param name="Lower">Least allowed, or null.</param>
/// <param name="Upper">Most allowed, or null.</param>
/// <param name="Unit">Unit of the limits; ratio for parts of the rated value.</param>
/// <param name="Status">Where the figure comes from, or that it is from memory.</param>
public sealed record ClassLimit(string Quantity, string Class, double? Lower, double? Upper, string Unit, string Status)
{
    /// <summary>Verdict on a value, its expanded uncertainty as guard band.</summary>
    /// <param name="value">Measured value in the unit of the limit.</param>
    /// <param name="coverageFactor">k, from zero up; 2 is usual.</param>
    public Verdict Judge(Estimate value, double coverageFactor = 2)
    {
        Given.Estimate(Quantity, value, Unit);
        Given.NotNegative("Coverage factor", coverageFactor, "");
        var guard = coverageFactor * value.StandardUncertainty;
        var (lower, upper) = (Lower ?? double.NegativeInfinity, Upper ?? double.PositiveInfinity);
        if (value.Value - guard >= lower && value.Value + guard <= upper)
        {
            return Verdict.Pass;
        }

        return value.Value + guard < lower || value.Value - guard > upper ? Verdict.Fail : Verdict.Undecided;
    }
}
