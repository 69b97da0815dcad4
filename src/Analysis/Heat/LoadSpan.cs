namespace LoadTest.Analysis.Heat;

/// <summary>A stretch of time under load.</summary>
/// <param name="From">When load came on, from any zero.</param>
/// <param name="To">When it went off, not before.</param>
public readonly record struct LoadSpan(TimeSpan From, TimeSpan To);
