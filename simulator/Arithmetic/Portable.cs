namespace LoadTest.Simulator.Arithmetic;

/// <summary>Exponential and sine from + − × ÷ only, the same bits on every platform.</summary>
/// <remarks>Range reduction and Taylor polynomials (standard numerical practice). Results agree with a correctly rounded
/// library to about 2 parts in 10¹⁶; tests hold 4 parts in 10¹⁵. No libm call, because libraries differ between systems.</remarks>
internal static class Portable
{
    private const double Ln2High = 0.693147180369123816490;
    private const double Ln2Low = 1.90821492927058770002e-10;
    private const double InverseLn2 = 1.44269504088896338700;
    private const double Pi = 3.14159265358979323846;

    /// <summary>e raised to x.</summary>
    /// <param name="x">Any finite number; below −700 the result is 0, above 700 it is refused.</param>
    /// <exception cref="ArgumentOutOfRangeException">x is not finite or above 700.</exception>
    /// <remarks>Exp(−1) = 0.367 879 441 171 442 33.</remarks>
    public static double Exp(double x)
    {
        if (!(x <= 700))
        {
            throw new ArgumentOutOfRangeException(nameof(x), x, "The exponent has to be a number of at most 700.");
        }

        if (x < -700)
        {
            return 0;
        }

        var power = Math.Floor(x * InverseLn2 + 0.5);
        var rest = x - power * Ln2High - power * Ln2Low;
        var sum = 1.0;
        for (var n = 13; n >= 1; n--)
        {
            sum = 1 + rest / n * sum;
        }

        return sum * BitConverter.Int64BitsToDouble(((long)power + 1023) << 52);
    }

    /// <summary>1 − e^(−x): the part of a first-order change done after x time constants.</summary>
    /// <param name="x">Time over time constant, zero or positive.</param>
    /// <remarks>Approach(1) = 0.632 120 558 828 557 7; accurate for small x, where 1 − Exp(−x) would lose digits.</remarks>
    public static double Approach(double x)
    {
        if (x >= 0.05)
        {
            return 1 - Exp(-x);
        }

        // x − x²/2 + x³/6 …, nested; the first omitted term is below 1e-17 of the result.
        return x * (1 - x / 2 * (1 - x / 3 * (1 - x / 4 * (1 - x / 5 * (1 - x / 6 * (1 - x / 7 * (1 - x / 8)))))));
    }

    /// <summary>Sine of an angle given in turns: SineOfTurns(0.25) is 1.</summary>
    /// <param name="turns">Finite; whole turns fall away exactly.</param>
    public static double SineOfTurns(double turns)
    {
        var t = turns - Math.Floor(turns + 0.5);
        if (t > 0.25)
        {
            t = 0.5 - t;
        }
        else if (t < -0.25)
        {
            t = -0.5 - t;
        }

        var x = 2 * Pi * t;
        var square = x * x;
        var sum = 1.0;
        for (var n = 10; n >= 1; n--)
        {
            sum = 1 - square / (2.0 * n * (2 * n + 1)) * sum;
        }

        return x * sum;
    }

    /// <summary>How much of a sinusoid is left in a mean over a window: sin(πfT)/(πfT), signed.</summary>
    /// <param name="cycles">Frequency × window length; zero or positive. Whole numbers give 0, zero gives 1.</param>
    /// <remarks>Half a cycle leaves 2/π = 0.636 619 772: the mean of a half sine.</remarks>
    public static double WindowedMean(double cycles) => cycles < 1e-9 ? 1 : SineOfTurns(cycles / 2) / (Pi * cycles);
}
