using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>What one closed element carries, and how much of its continuous rating that is.</summary>
/// <param name="Index">Index of the element in the bank.</param>
/// <param name="Id">Its name.</param>
/// <param name="Volts">Volts across it, the bank volts.</param>
/// <param name="Amperes">Amperes through it.</param>
/// <param name="Watts">Heat in it.</param>
/// <param name="PartOfRating">Volts over its continuous volts; 1 is at the rating, and never above here.</param>
/// <param name="CeilingPartOfRating">The source's ceiling over the volts it survives until the load is off.</param>
public sealed record ElementLoading(
    int Index,
    string Id,
    Volts Volts,
    Amperes Amperes,
    Watts Watts,
    double PartOfRating,
    double CeilingPartOfRating
);
