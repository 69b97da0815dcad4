namespace LoadTest.Analysis.VoltAmp;

/// <summary>One shape that was weighed, and how it fared.</summary>
/// <param name="Model">The shape.</param>
/// <param name="Name">Its name in words.</param>
/// <param name="Parameters">Parameters fitted; each reading set aside counts as one more in the criterion.</param>
/// <param name="Criterion">Corrected Akaike criterion AICc, smaller is better; null when it could not be fitted.</param>
/// <param name="ChanceOfScatter">Probability of scatter this large by chance; null without stated uncertainties or spare points.</param>
/// <param name="Remark">Why it could not be fitted, or what is wrong with it; empty when nothing is.</param>
public sealed record ModelCandidate(
    VoltAmpModel Model,
    string Name,
    int Parameters,
    double? Criterion,
    double? ChanceOfScatter,
    string Remark
);
