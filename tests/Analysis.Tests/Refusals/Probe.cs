namespace LoadTest.AnalysisTests.Refusals;

/// <summary>One public entry point, called with good numbers of which one may be poisoned.</summary>
/// <param name="Entry">Type and member, as <c>LineFit.Fit</c>.</param>
/// <param name="Call">The call.</param>
/// <param name="CannotSay">Whether what came back says that nothing can be said; null when only an error or no answer will do.</param>
internal sealed record Probe(string Entry, Func<Poison, object?> Call, Func<object, bool>? CannotSay = null);
