namespace LoadTest.Analysis.VoltAmp;

/// <summary>One reading seen from the fitted curve.</summary>
/// <param name="Amperes">Current as read, A.</param>
/// <param name="Volts">Voltage as read, V.</param>
/// <param name="ResidualAmperes">Current as read less the nearest curve point's, A.</param>
/// <param name="ResidualVolts">Voltage as read less the nearest curve point's, V.</param>
/// <param name="Leverage">Share the reading has in its own fitted point, 0 to 1; null when it was set aside.</param>
/// <param name="Studentised">Distance from the curve over the spread expected of it, judged by the others; null when the points are too few.</param>
/// <param name="IsOutlier">Far from the curve beyond what chance allows.</param>
/// <param name="IsSetAside">Not used in the fit, because it was far.</param>
/// <param name="IsInfluential">Leverage above twice the average (Belsley, Kuh and Welsch, 1980): the curve hangs on this reading.</param>
public sealed record CurvePoint(
    double Amperes,
    double Volts,
    double ResidualAmperes,
    double ResidualVolts,
    double? Leverage,
    double? Studentised,
    bool IsOutlier,
    bool IsSetAside,
    bool IsInfluential
);
