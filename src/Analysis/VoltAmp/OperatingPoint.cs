namespace LoadTest.Analysis.VoltAmp;

/// <summary>Where a volt-amp curve meets a load line.</summary>
/// <param name="Line">The load line.</param>
/// <param name="Amperes">Current, A.</param>
/// <param name="Volts">Voltage, V.</param>
/// <param name="Watts">Output power, W.</param>
/// <param name="IsExtrapolated">True when it lies outside what was measured.</param>
public sealed record OperatingPoint(
    LoadLine Line,
    Estimate Amperes,
    Estimate Volts,
    Estimate Watts,
    bool IsExtrapolated
);
