namespace LoadTest.Analysis.Regression;

/// <summary>A model y = f(x; parameters) with its analytic derivatives.</summary>
/// <param name="x">Predictors of one observation.</param>
/// <param name="parameters">Parameters, in the order of the start.</param>
/// <param name="gradient">Receives ∂f/∂parameter, one entry each; empty when only the value is wanted.</param>
/// <returns>Value of the model; NaN or infinity where it has none, which the fit steps back from.</returns>
public delegate double NonlinearModel(ReadOnlySpan<double> x, ReadOnlySpan<double> parameters, Span<double> gradient);
