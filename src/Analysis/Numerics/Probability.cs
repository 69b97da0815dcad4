using System.Globalization;

namespace LoadTest.Analysis.Numerics;

/// <summary>Checks shared by the distributions; each message says what was found and what is allowed.</summary>
internal static class Probability
{
    public static void RequireOpen(double probability, string name)
    {
        if (!(probability > 0 && probability < 1))
        {
            throw new ArgumentOutOfRangeException(
                name,
                probability,
                "A probability must be above 0 and below 1; its quantile is not a number otherwise."
            );
        }
    }

    public static void RequireDegrees(double degreesOfFreedom, string name, bool infiniteAllowed)
    {
        if (!(degreesOfFreedom > 0) || (!infiniteAllowed && double.IsPositiveInfinity(degreesOfFreedom)))
        {
            throw new ArgumentOutOfRangeException(
                name,
                degreesOfFreedom,
                infiniteAllowed
                    ? "Degrees of freedom must be above 0 (infinity is allowed)."
                    : "Degrees of freedom must be above 0 and finite."
            );
        }
    }

    public static void RequireNumber(double value, string name)
    {
        if (double.IsNaN(value))
        {
            throw new ArgumentException(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{name} is not a number: a missing value never reaches arithmetic."
                ),
                name
            );
        }
    }
}
