namespace LoadTest.Analysis.Loads;

/// <summary>What is wanted of a bank, on which source, starting from where.</summary>
/// <param name="Target">Resistance, or current or power where the load sets the amperes.</param>
/// <param name="Source">Characteristic of the unit at the step's setting.</param>
/// <param name="Limits">Times and amperes of the bench.</param>
public sealed record LoadRequest(LoadTarget Target, SourceCharacteristic Source, SwitchingLimits Limits)
{
    /// <summary>Elements closed now.</summary>
    public ElementSet Present { get; init; }

    /// <summary>Elements that may be closed; null for all. An element out of service is left out here.</summary>
    public ElementSet? Usable { get; init; }

    /// <summary>Switching operations each element has done so far, by index; null when nobody counts.</summary>
    public IReadOnlyList<long>? WearCounts { get; init; }

    /// <summary>How far from the wanted resistance a set may be.</summary>
    public ResistanceTolerance Tolerance { get; init; } = ResistanceTolerance.House;

    /// <summary>Whether the output is disabled and proved dead while elements are switched; any order will do then.</summary>
    public bool SwitchedDead { get; init; }
}
