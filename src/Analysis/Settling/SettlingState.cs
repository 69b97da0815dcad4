namespace LoadTest.Analysis.Settling;

/// <summary>How a window of readings stands against its settling rule.</summary>
public enum SettlingState
{
    /// <summary>Too few readings, too short a time, or a hole in it: nothing can be said yet.</summary>
    TooShort,

    /// <summary>A reading in the window is missing or overloaded; it never counts as settled.</summary>
    Missing,

    /// <summary>Slope and spread are both within the tolerance.</summary>
    Settled,

    /// <summary>The readings move one way; waiting helps.</summary>
    Drifting,

    /// <summary>The readings scatter without a pattern; waiting does not help, averaging or a longer aperture may.</summary>
    Noisy,

    /// <summary>The readings swing to and fro at a regular period; look at the governor or the regulation.</summary>
    Oscillating,
}
