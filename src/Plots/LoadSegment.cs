namespace LoadTest.Plots;

/// <summary>A stretch of a plan or run during which the load stays as it is.</summary>
/// <param name="Start">Time from the beginning, zero or more.</param>
/// <param name="End">Time from the beginning, not before <paramref name="Start"/>.</param>
/// <param name="Amperes">Output current; zero while unloaded.</param>
/// <param name="Volts">Volts at the studs; zero while the output is off.</param>
/// <param name="Group">What it belongs to, named once along the top for neighbours with the same name; empty for none.</param>
public sealed record LoadSegment(TimeSpan Start, TimeSpan End, double Amperes, double Volts, string Group);
