using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>A current by a reference shunt, or why there is none.</summary>
/// <param name="Amperes">Current, u and ν, A; null when the certificate does not reach this current.</param>
/// <param name="Budget">Its budget; null with the current.</param>
/// <param name="Findings">What was assumed, or why there is no answer.</param>
public sealed record ShuntCurrent(Estimate? Amperes, Budget? Budget, IReadOnlyList<string> Findings);
