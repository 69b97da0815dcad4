namespace LoadTest.Analysis.Regression;

/// <summary>Choices of a nonlinear fit.</summary>
public sealed record NonlinearOptions
{
    /// <summary>Predictors per observation; 1 unless the model reads more.</summary>
    public int Predictors { get; init; } = 1;

    /// <summary>Weights of the observations, or 1/u² with <see cref="VarianceBasis.Known"/>; null for equal weights of one.</summary>
    public double[]? Weights { get; init; }

    /// <summary>Basis of the uncertainties.</summary>
    public VarianceBasis Variances { get; init; }

    /// <summary>Lower bound of each parameter; null for none.</summary>
    public double[]? Lower { get; init; }

    /// <summary>Upper bound of each parameter; null for none.</summary>
    public double[]? Upper { get; init; }

    /// <summary>Most iterations of one descent, 1 or more.</summary>
    public int IterationLimit { get; init; } = 2000;

    /// <summary>Descents tried from the start with ever shorter first steps, 1 to 4; the least sum of squares wins.</summary>
    public int Descents { get; init; } = 4;
}
