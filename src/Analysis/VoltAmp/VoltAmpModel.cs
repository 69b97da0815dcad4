namespace LoadTest.Analysis.VoltAmp;

/// <summary>Shape of a volt-amp curve.</summary>
public enum VoltAmpModel
{
    /// <summary>Volts fall in proportion to amperes: V = E − R · I. Two parameters.</summary>
    StraightLine,

    /// <summary>Two straight branches that meet at a corner: a voltage limit and a current limit. Four parameters.</summary>
    SharpKnee,

    /// <summary>Two straight branches joined by a rounded corner (a hyperbola between them). Five parameters.</summary>
    RoundedKnee,

    /// <summary>Ellipse (V/E)² + (I/Is)² = 1: a source limited by reactance. Two parameters.</summary>
    Ellipse,

    /// <summary>A ceiling that sinks with the engine's speed: V = (E − R · I)/(1 + c · I). Three parameters.</summary>
    DroopedLine,

    /// <summary>A ceiling that sinks with the engine's speed, up to a current limit. Five parameters.</summary>
    DroopedKnee,

    /// <summary>No formula: a monotone cubic through the points, for curves no formula describes.</summary>
    Interpolation,
}
