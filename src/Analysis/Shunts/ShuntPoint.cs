namespace LoadTest.Analysis.Shunts;

/// <summary>One averaged point of a shunt sweep: reference amperes and the unit's millivolts.</summary>
/// <param name="ReferenceAmperes">Current by the reference shunt, A, corrections applied.</param>
/// <param name="UnitMillivolts">Drop of the unit's own shunt, mV.</param>
/// <param name="AmperesScatter">Type A standard uncertainty of the amperes, zero or more; zero when unknown.</param>
/// <param name="MillivoltsScatter">Type A standard uncertainty of the millivolts, zero or more; zero when unknown.</param>
/// <param name="Direction">+1 on the way up, −1 on the way down, 0 neither.</param>
/// <param name="Seconds">Time of the point on any clock, s; used for zero drift and warm-up.</param>
public readonly record struct ShuntPoint(
    double ReferenceAmperes,
    double UnitMillivolts,
    double AmperesScatter = 0,
    double MillivoltsScatter = 0,
    int Direction = 0,
    double Seconds = 0
);

/// <summary>A reading of the unit's shunt with its leads on and no current.</summary>
/// <param name="Millivolts">Reading, mV.</param>
/// <param name="Seconds">Time on the same clock as the points, s.</param>
/// <param name="Scatter">Standard uncertainty of the reading, mV, zero or more; zero when unknown.</param>
public readonly record struct ZeroReading(double Millivolts, double Seconds = 0, double Scatter = 0);
