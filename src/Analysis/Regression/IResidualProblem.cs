namespace LoadTest.Analysis.Regression;

/// <summary>Residuals to be made small together, with their derivatives.</summary>
/// <remarks>Two implementations: ordinates less a model, and distances of points from a curve with errors in both axes.</remarks>
internal interface IResidualProblem
{
    /// <summary>Number of residuals n.</summary>
    int Count { get; }

    /// <summary>Residuals at the parameters; and, unless empty, derivatives column by column (n of them per parameter).</summary>
    /// <returns>False where the model has no finite value.</returns>
    bool Evaluate(ReadOnlySpan<double> parameters, Span<double> residuals, Span<double> jacobian);
}
