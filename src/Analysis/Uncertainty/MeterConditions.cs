namespace LoadTest.Analysis.Uncertainty;

/// <summary>Conditions of a reading that its meter's specification depends on.</summary>
/// <param name="AmbientCelsius">Air temperature at the meter, °C; null when nobody read it.</param>
/// <param name="DaysSinceCalibration">Days since the certificate's date, zero or more; null when there is none.</param>
/// <param name="MinutesSinceSwitchOn">Minutes the meter has been on, zero or more; null when unknown.</param>
public readonly record struct MeterConditions(
    double? AmbientCelsius = null,
    double? DaysSinceCalibration = null,
    double? MinutesSinceSwitchOn = null
);
