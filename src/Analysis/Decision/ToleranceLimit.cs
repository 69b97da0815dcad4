using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Decision;

/// <summary>The values allowed for a result: two-sided, at most, or at least.</summary>
/// <remarks>JCGM 106:2012, 3.3.3 to 3.3.6 (tolerance limits, tolerance interval). Limits themselves are allowed.</remarks>
public sealed record ToleranceLimit
{
    private ToleranceLimit(double lower, double upper, string unit)
    {
        Lower = lower;
        Upper = upper;
        Unit = unit;
        Shown = (unit, 1);
    }

    /// <summary>Smallest value allowed; negative infinity when there is none.</summary>
    public double Lower { get; }

    /// <summary>Largest value allowed; positive infinity when there is none.</summary>
    public double Upper { get; }

    /// <summary>Unit of the limits.</summary>
    public string Unit { get; }

    /// <summary>How people read it: the symbol there and the factor to it, mV/A and 1000 for volts per ampere. The unit itself unless said.</summary>
    public (string Symbol, double Factor) Shown { get; init; }

    /// <summary>Whether both ends are limited.</summary>
    public bool IsTwoSided => double.IsFinite(Lower) && double.IsFinite(Upper);

    /// <summary>Width of the tolerance interval; positive infinity for a one-sided limit.</summary>
    public double Width => Upper - Lower;

    /// <summary>From one value to another, both allowed.</summary>
    /// <param name="lower">Smallest value allowed, finite.</param>
    /// <param name="upper">Largest value allowed, finite, at or above the smallest.</param>
    /// <param name="unit">Unit of both.</param>
    /// <exception cref="ArgumentException">A limit not finite, or the two the wrong way round.</exception>
    public static ToleranceLimit TwoSided(double lower, double upper, string unit = "")
    {
        Guard.Finite(lower, "Limit", "lower limit");
        Guard.Finite(upper, "Limit", "upper limit");
        Guard.Require(
            lower <= upper,
            $"Limit: {Figures.Of(lower, 8)} {unit} to {Figures.Of(upper, 8)} {unit} allows nothing; write the smaller value first."
        );
        return new(lower, upper, unit);
    }

    /// <summary>A nominal value ± a half-width.</summary>
    /// <param name="nominal">Nominal value, finite.</param>
    /// <param name="halfWidth">Half-width, finite, zero or more.</param>
    /// <param name="unit">Unit of both.</param>
    public static ToleranceLimit PlusMinus(double nominal, double halfWidth, string unit = "")
    {
        Guard.Finite(nominal, "Limit", "nominal value");
        Guard.NotNegative(halfWidth, "Limit", "half-width");
        return TwoSided(nominal - halfWidth, nominal + halfWidth, unit);
    }

    /// <summary>At most a value.</summary>
    /// <param name="upper">Largest value allowed, finite.</param>
    /// <param name="unit">Its unit.</param>
    public static ToleranceLimit AtMost(double upper, string unit = "") =>
        new(double.NegativeInfinity, Guard.Finite(upper, "Limit", "largest value"), unit);

    /// <summary>At least a value.</summary>
    /// <param name="lower">Smallest value allowed, finite.</param>
    /// <param name="unit">Its unit.</param>
    public static ToleranceLimit AtLeast(double lower, string unit = "") =>
        new(Guard.Finite(lower, "Limit", "smallest value"), double.PositiveInfinity, unit);

    /// <summary>Whether a value is allowed; false for NaN.</summary>
    public bool Allows(double value) => value >= Lower && value <= Upper;

    /// <summary>Signed distance of a value to the nearest limit: positive inside, negative outside.</summary>
    /// <exception cref="ArgumentException">The value is no number.</exception>
    public double Margin(double value)
    {
        Guard.Finite(value, "Margin", "value");
        return Math.Min(value - Lower, Upper - value);
    }

    /// <summary>The limit in words.</summary>
    public override string ToString() =>
        (double.IsFinite(Lower), double.IsFinite(Upper)) switch
        {
            (true, true) => $"{Said(Lower)} to {Said(Upper)}",
            (true, _) => $"at least {Said(Lower)}",
            _ => $"at most {Said(Upper)}",
        };

    private string Said(double value) =>
        Shown.Symbol.Length == 0
            ? Figures.Of(value * Shown.Factor, 6)
            : $"{Figures.Of(value * Shown.Factor, 6)} {Shown.Symbol}";
}
