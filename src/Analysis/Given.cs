namespace LoadTest.Analysis;

/// <summary>Refuses what no computation can answer for, naming it in the words of the bench.</summary>
internal static class Given
{
    // What instruments answer for overload; 9.91e37 stands for "not a number" (SCPI-1999).
    private const double Overload = 9.9e37;

    /// <summary>Whether a value is a number: finite, and below what instruments answer for overload.</summary>
    public static bool IsNumber(double value) => Math.Abs(value) < Overload;

    /// <summary>A finite value with a finite standard uncertainty from zero up.</summary>
    public static void Estimate(string what, Estimate given, string unit)
    {
        Finite(what, given.Value, unit);
        if (!IsNumber(given.StandardUncertainty) || given.StandardUncertainty < 0 || !(given.DegreesOfFreedom > 0))
        {
            throw new ArgumentException(
                $"{what}: u = {Figures.Of(given.StandardUncertainty, 6)} {unit} with {Figures.Of(given.DegreesOfFreedom, 6)} degrees of freedom. "
                    + "The first has to be finite and not below zero, the second above zero."
            );
        }
    }

    /// <summary>A value that is a number.</summary>
    public static void Finite(string what, double value, string unit)
    {
        if (!IsNumber(value))
        {
            throw new ArgumentException($"{what} is {value} {unit}. Leave a missing or overloaded reading out.");
        }
    }

    /// <summary>A finite value above zero.</summary>
    public static void Positive(string what, double value, string unit)
    {
        if (!IsNumber(value) || value <= 0)
        {
            throw new ArgumentException(
                $"{what} is {Figures.Of(value, 6)} {unit}. It has to be finite and above zero."
            );
        }
    }

    /// <summary>A finite value from zero up.</summary>
    public static void NotNegative(string what, double value, string unit)
    {
        if (!IsNumber(value) || value < 0)
        {
            throw new ArgumentException(
                $"{what} is {Figures.Of(value, 6)} {unit}. It has to be finite and not below zero."
            );
        }
    }

    /// <summary>Finite values, at least so many.</summary>
    public static void Values(string what, ReadOnlySpan<double> values, int least)
    {
        if (values.Length < least)
        {
            throw new ArgumentException($"{what}: {values.Length} values were given; at least {least} are needed.");
        }

        for (var k = 0; k < values.Length; k++)
        {
            if (!IsNumber(values[k]))
            {
                throw new ArgumentException(
                    $"{what}: value {k + 1} of {values.Length} is {values[k]}. Leave a missing or overloaded reading out."
                );
            }
        }
    }

    /// <summary>Two series of the same length.</summary>
    public static void SameLength(string what, int found, int expected)
    {
        if (found != expected)
        {
            throw new ArgumentException($"{what}: {found} values were given where {expected} are needed.");
        }
    }
}
