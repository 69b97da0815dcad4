namespace LoadTest.Analysis.Uncertainty;

/// <summary>Shape of the knowledge about an input, which decides the divisor from half-width to u.</summary>
/// <remarks>JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4.</remarks>
public enum Distribution
{
    /// <summary>Normal; Student t in a Monte Carlo run when the degrees of freedom are finite.</summary>
    Normal,

    /// <summary>Equally likely between two limits; divisor √3. The usual reading of a data-sheet limit.</summary>
    Rectangular,

    /// <summary>Straight down from the middle to two limits; divisor √6. Sum or difference of two equal rectangles.</summary>
    Triangular,

    /// <summary>U-shaped between two limits; divisor √2. A quantity that cycles, such as a regulated temperature.</summary>
    ArcSine,
}

/// <summary>Divisors and names of the distributions.</summary>
public static class Distributions
{
    private const double RootTwo = 1.4142135623730951;
    private const double RootThree = 1.7320508075688772;
    private const double RootSix = 2.449489742783178;

    /// <summary>Half-width divided by this is the standard uncertainty.</summary>
    /// <param name="distribution">A distribution with limits; a normal one has none and divides by 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value outside the enumeration.</exception>
    /// <remarks>JCGM 100:2008, 4.3.7 (√3) and 4.3.9 (√6). Worked number: ± 0.05 V rectangular is u = 0.0289 V.</remarks>
    public static double Divisor(this Distribution distribution) =>
        distribution switch
        {
            Distribution.Normal => 1,
            Distribution.Rectangular => RootThree,
            Distribution.Triangular => RootSix,
            Distribution.ArcSine => RootTwo,
            _ => throw new ArgumentOutOfRangeException(
                nameof(distribution),
                distribution,
                "Distribution: not one of normal, rectangular, triangular, arc sine."
            ),
        };

    /// <summary>Name as a budget table prints it.</summary>
    /// <param name="distribution">Any distribution.</param>
    public static string Name(this Distribution distribution) =>
        distribution switch
        {
            Distribution.Normal => "normal",
            Distribution.Rectangular => "rectangular",
            Distribution.Triangular => "triangular",
            _ => "arc sine",
        };
}
