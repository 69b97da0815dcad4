namespace LoadTest.Analysis.Numerics;

/// <summary>Mean, standard deviation and lag-one autocorrelation of a series, to all digits of the data.</summary>
/// <param name="Mean">Arithmetic mean.</param>
/// <param name="StandardDeviation">Sample standard deviation, divisor n − 1.</param>
/// <param name="LagOneAutocorrelation">Σ (yᵢ − m)(yᵢ₊₁ − m) / Σ (yᵢ − m)²; null when all values are equal.</param>
/// <remarks>Sums about the mean in about 31 digits and a fixed order. NIST StRD Michelso: 299.8524, 0.0790105478190518,
/// 0.535199668621283.</remarks>
public readonly record struct SampleMoments(double Mean, double StandardDeviation, double? LagOneAutocorrelation)
{
    /// <summary>Moments of a series of at least two finite values.</summary>
    /// <exception cref="ArgumentException">Fewer than two values, or one that is not finite.</exception>
    public static SampleMoments Of(ReadOnlySpan<double> values)
    {
        Regression.FitInput.RequireCount(values.Length, 2, "A standard deviation");
        Regression.FitInput.RequireFinite(values, nameof(values));
        var mean = MeanOf(values);
        var (squares, products, before) = (DoubleDouble.Zero, DoubleDouble.Zero, DoubleDouble.Zero);
        for (var i = 0; i < values.Length; i++)
        {
            var away = (DoubleDouble)values[i] - mean;
            squares += away * away;
            products += away * before;
            before = away;
        }

        return new SampleMoments(
            (double)mean,
            (double)DoubleDouble.Sqrt(squares / (values.Length - 1)),
            squares.High > 0 ? (double)(products / squares) : null
        );
    }

    /// <summary>Mean and sum of squared deviations of finite values, one or more; nothing is checked.</summary>
    internal static (double Mean, double SumOfSquares) About(ReadOnlySpan<double> values)
    {
        var mean = MeanOf(values);
        var squares = DoubleDouble.Zero;
        foreach (var value in values)
        {
            var away = value - mean;
            squares += away * away;
        }

        return ((double)mean, (double)squares);
    }

    internal static DoubleDouble MeanOf(ReadOnlySpan<double> values)
    {
        var sum = DoubleDouble.Zero;
        foreach (var value in values)
        {
            sum += value;
        }

        return sum / values.Length;
    }
}
