namespace LoadTest.Analysis.Shunts;

/// <summary>Conditions a reference shunt's current depends on.</summary>
/// <param name="BodyCelsius">Temperature of the shunt without its own heating (the air at it), °C; null when unknown.</param>
/// <param name="BodyHalfWidth">Half-width of what is known about that temperature, K.</param>
/// <param name="DaysSinceCalibration">Days since the certificate's date, zero or more; null when unknown.</param>
/// <param name="IsWarm">Whether it carried this current long enough to reach its own temperature.</param>
public sealed record ShuntConditions(
    double? BodyCelsius = null,
    double BodyHalfWidth = 2,
    double? DaysSinceCalibration = null,
    bool IsWarm = true
);
