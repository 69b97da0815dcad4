namespace LoadTest.Analysis.Uncertainty;

/// <summary>One line of a budget: an input and what it does to the result.</summary>
/// <param name="Input">The input.</param>
/// <param name="Sensitivity">∂y/∂x used, measurand's unit per input's unit.</param>
/// <param name="Contribution">|∂y/∂x|·u(x), in the unit of the measurand.</param>
/// <param name="Share">Share of the combined variance by this line alone, 0 to 1; correlation terms are not in it.</param>
public readonly record struct BudgetLine(UncertaintyInput Input, double Sensitivity, double Contribution, double Share);
