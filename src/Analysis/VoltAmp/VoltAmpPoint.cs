namespace LoadTest.Analysis.VoltAmp;

/// <summary>One settled pair of output current and output voltage, with uncertainties where known.</summary>
/// <param name="Amperes">Output current, A; positive out of the positive stud.</param>
/// <param name="Volts">Output voltage at the sense point, V.</param>
/// <param name="AmperesUncertainty">Standard uncertainty of the current, A; null when not stated.</param>
/// <param name="VoltsUncertainty">Standard uncertainty of the voltage, V; null when not stated.</param>
public readonly record struct VoltAmpPoint(
    double Amperes,
    double Volts,
    double? AmperesUncertainty = null,
    double? VoltsUncertainty = null
);
