namespace LoadTest.Analysis.Uncertainty;

/// <summary>Correlation coefficient between two inputs of a budget, by name.</summary>
/// <param name="First">Name of one input.</param>
/// <param name="Second">Name of another input.</param>
/// <param name="Coefficient">r, −1 to 1. Two readings of one meter on one range lie near +1.</param>
/// <remarks>JCGM 100:2008, 5.2.</remarks>
public readonly record struct Correlation(string First, string Second, double Coefficient);
