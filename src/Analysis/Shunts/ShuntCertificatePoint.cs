namespace LoadTest.Analysis.Shunts;

/// <summary>One calibrated point of a reference shunt.</summary>
/// <param name="Amperes">Current it was calibrated at, A, above zero.</param>
/// <param name="RelativeCorrection">Certified ratio over rated ratio, minus one, as a fraction: +0.0002 is 0.02 % more mV.</param>
/// <param name="ExpandedRelative">Expanded uncertainty U of that, a fraction, above zero.</param>
/// <param name="CoverageFactor">k of U, above zero.</param>
/// <param name="DegreesOfFreedom">Effective degrees of freedom behind u; infinite when the certificate names none.</param>
public readonly record struct ShuntCertificatePoint(
    double Amperes,
    double RelativeCorrection,
    double ExpandedRelative,
    double CoverageFactor = 2,
    double DegreesOfFreedom = double.PositiveInfinity
);
