using LoadTest.Analysis.VoltAmp;

namespace LoadTest.Curves;

/// <summary>A given curve with what was fitted to it.</summary>
/// <param name="Given">The readings.</param>
/// <param name="Curve">The curve.</param>
/// <param name="Picture">Name of its picture without ending, unlike that of any other curve of the same command.</param>
internal sealed record FittedCurve(GivenCurve Given, VoltAmpCurve Curve, string Picture);
