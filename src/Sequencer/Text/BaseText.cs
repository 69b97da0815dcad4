using System.Collections.Immutable;

namespace LoadTest.Sequencer.Text;

/// <summary>The words for what a percentage is of.</summary>
internal static class BaseText
{
    /// <summary>Every base with its word.</summary>
    internal static readonly ImmutableArray<(string Word, BaseName Base)> All =
    [
        ("rated current", BaseName.RatedCurrent),
        ("rated voltage", BaseName.RatedVoltage),
        ("maximum setting", BaseName.MaximumSetting),
        ("rated ratio", BaseName.RatedRatio),
        ("setting", BaseName.Setting),
        ("reading", BaseName.Reading),
        ("rated power", BaseName.RatedPower),
        ("rated auxiliary voltage", BaseName.RatedAuxiliaryVoltage),
        ("rated frequency", BaseName.RatedFrequency),
        ("commanded", BaseName.Commanded),
    ];

    /// <summary>The word for a base.</summary>
    internal static string Word(BaseName name) => All.First(b => b.Base == name).Word;

    /// <summary>Units an amount of this base can have; empty when it takes the unit of whatever it stands beside.</summary>
    internal static ImmutableArray<Unit> Units(BaseName name) =>
        name switch
        {
            BaseName.RatedCurrent => [Unit.Ampere],
            BaseName.RatedVoltage or BaseName.RatedAuxiliaryVoltage => [Unit.Volt],
            BaseName.MaximumSetting or BaseName.Setting => [Unit.Ampere, Unit.Volt],
            BaseName.RatedRatio => [Unit.VoltPerAmpere],
            BaseName.RatedPower => [Unit.Watt],
            BaseName.RatedFrequency => [Unit.Hertz],
            _ => [],
        };
}
