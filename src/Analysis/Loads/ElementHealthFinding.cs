namespace LoadTest.Analysis.Loads;

/// <summary>What the conductance at the bank says about its elements.</summary>
public enum ElementHealthState
{
    /// <summary>Too little voltage to judge by.</summary>
    CannotSay,

    /// <summary>The conductance agrees with the commanded elements.</summary>
    AsCommanded,

    /// <summary>It does not, and one element stuck open or closed would explain it.</summary>
    NotAsCommanded,

    /// <summary>It does not, and no single element explains it.</summary>
    Unexplained,
}

/// <summary>An element that may not be in the state it was commanded to.</summary>
/// <param name="Index">Its index in the bank, from 0.</param>
/// <param name="Id">Its name.</param>
/// <param name="StandsClosed">True when it conducts though commanded open, false the other way round.</param>
public sealed record ElementSuspect(int Index, string Id, bool StandsClosed);

/// <summary>Measured and expected conductance, and who is suspected.</summary>
/// <param name="State">The finding.</param>
/// <param name="Measured">Conductance from amperes and volts, S; null when it cannot be said.</param>
/// <param name="Expected">Conductance of the commanded elements, S, with their uncertainty.</param>
/// <param name="Suspects">Each single element that would explain the reading; several when they are alike.</param>
/// <param name="Words">The finding in a sentence.</param>
public sealed record ElementHealthFinding(
    ElementHealthState State,
    Estimate? Measured,
    Estimate Expected,
    IReadOnlyList<ElementSuspect> Suspects,
    string Words
);
