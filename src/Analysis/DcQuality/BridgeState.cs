namespace LoadTest.Analysis.DcQuality;

/// <summary>What the ripple of a six-pulse bridge says about it.</summary>
public enum BridgeState
{
    /// <summary>Ripple is at six times the line frequency, as it should be.</summary>
    Complete,

    /// <summary>Ripple at line frequency: one diode, or its fuse or lead, is open.</summary>
    DiodeOpen,

    /// <summary>Ripple at twice the line frequency and none at line frequency: one phase of the input is lost.</summary>
    PhaseLost,

    /// <summary>Ripple at line frequency, more than one open diode gives.</summary>
    MoreThanOneOpen,

    /// <summary>Too smooth to tell: a regulated stage or a capacitor stands between; look for a lost ceiling voltage.</summary>
    TooSmooth,

    /// <summary>Like none of these.</summary>
    Unlike,
}

/// <summary>Judgement of a bridge, with the amplitudes it rests on.</summary>
/// <param name="State">The judgement.</param>
/// <param name="AtLine">Amplitude at line frequency over the mean.</param>
/// <param name="AtTwice">Amplitude at twice the line frequency over the mean.</param>
/// <param name="AtSix">Amplitude at six times the line frequency over the mean.</param>
/// <param name="PartOfExpectedMean">Mean over the expected mean; null when none was given.</param>
/// <param name="Words">The judgement in a sentence.</param>
public sealed record BridgeFinding(
    BridgeState State,
    Estimate AtLine,
    Estimate AtTwice,
    Estimate AtSix,
    Estimate? PartOfExpectedMean,
    string Words
);
