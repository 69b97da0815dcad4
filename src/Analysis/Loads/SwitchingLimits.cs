using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>What the bench allows while elements are switched, and how long a lost control can last.</summary>
/// <param name="PerOperation">Longest time one state passed through lasts: command, bus and contactor.</param>
/// <param name="LoadOff">Longest time from a fault to load off: scan, meter aperture, bus and contactor.</param>
public sealed record SwitchingLimits(TimeSpan PerOperation, TimeSpan LoadOff)
{
    /// <summary>Most amperes that bars, leads and reference shunt may carry in any state; null when not limited here.</summary>
    public Amperes? MostAmperes { get; init; }
}
