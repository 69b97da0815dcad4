using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Heat;

/// <summary>One point of a nameplate: so many amperes for such a part of ten minutes.</summary>
/// <param name="Current">Rated amperes, above zero.</param>
/// <param name="Part">Duty cycle, above 0 to 1; 0.6 is 60 %.</param>
public readonly record struct RatedDuty(Amperes Current, double Part);
