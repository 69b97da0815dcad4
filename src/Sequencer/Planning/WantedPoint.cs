using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>A point as a step wants it, before elements are chosen.</summary>
/// <param name="Setting">Setting of the control.</param>
/// <param name="TotalOhms">Resistance at the studs; null for the bank open.</param>
internal sealed record WantedPoint(double Setting, double? TotalOhms)
{
    public TimeSpan Hold { get; init; }

    /// <summary>Wanted auxiliary power, W; zero for none.</summary>
    public double AuxiliaryWatts { get; init; }

    public bool IsZeroReading { get; init; }

    public bool ReadPanel { get; init; }

    /// <summary>+1 rising, −1 falling, 0 neither.</summary>
    public int Direction { get; init; }
}

/// <summary>A group as a step wants it.</summary>
internal sealed record WantedGroup(
    GroupKind Kind,
    string Title,
    IReadOnlyList<WantedPoint> Points,
    IReadOnlyList<Expectation> Expect,
    Place Place
)
{
    /// <summary>How far a point's resistance may be off.</summary>
    public ResistanceTolerance Tolerance { get; init; } = ResistanceTolerance.House;

    /// <summary>How far it may be off when nothing lies within that; null when it must.</summary>
    public ResistanceTolerance? Fallback { get; init; }

    /// <summary>Whether every loaded point has the same elements: on constant current only the setting changes the current.</summary>
    public bool KeepsElements { get; init; }

    /// <summary>Whether a point that cannot be reached may be moved to the nearest that can, or left out, with a warning.</summary>
    public bool IsFlexible { get; init; }
}
