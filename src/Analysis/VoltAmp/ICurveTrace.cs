namespace LoadTest.Analysis.VoltAmp;

/// <summary>A curve that can be met by lines: a fitted shape, or an interpolation through points.</summary>
internal interface ICurveTrace
{
    /// <summary>Meeting with the line α I + β V = γ; null where there is none to be found.</summary>
    Crossing? Meet(double alpha, double beta, double gamma);

    /// <summary>Volts at a current; null where the curve has no such current.</summary>
    Estimate? VoltsAt(double amperes);

    /// <summary>Slope dV/dI at a current, V/A; null where the curve has none.</summary>
    Estimate? SlopeAt(double amperes);

    /// <summary>Covariance of the curve's volts at two currents, V²; zero where nothing ties them.</summary>
    double VoltsCovariance(double firstAmperes, double secondAmperes);
}
