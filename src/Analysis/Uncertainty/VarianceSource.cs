namespace LoadTest.Analysis.Uncertainty;

/// <summary>One row of an analysis of variance: a sum of squares with its degrees of freedom.</summary>
/// <param name="SumOfSquares">Sum of squares, in the square of the readings' unit.</param>
/// <param name="Degrees">Degrees of freedom, above zero.</param>
public readonly record struct VarianceSource(double SumOfSquares, double Degrees)
{
    /// <summary>Sum of squares over degrees of freedom.</summary>
    public double MeanSquare => SumOfSquares / Degrees;
}
