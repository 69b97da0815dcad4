using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>The words for what a channel reads, and in which unit.</summary>
internal static class ChannelRoles
{
    /// <summary>Every role.</summary>
    internal static readonly ImmutableArray<(string Word, ChannelRole Role, Unit Unit)> All =
    [
        ("bank volts", ChannelRole.BankVolts, Unit.Volt),
        ("bank amperes", ChannelRole.BankAmperes, Unit.Ampere),
        ("stud volts", ChannelRole.StudVolts, Unit.Volt),
        ("reference shunt drop", ChannelRole.ReferenceShuntDrop, Unit.Volt),
        ("unit shunt drop", ChannelRole.UnitShuntDrop, Unit.Volt),
        ("bank outlet temperature", ChannelRole.BankOutletTemperature, Unit.Celsius),
        ("unit temperature", ChannelRole.UnitTemperature, Unit.Celsius),
        ("lug temperature", ChannelRole.LugTemperature, Unit.Celsius),
        ("reference shunt temperature", ChannelRole.ReferenceShuntTemperature, Unit.Celsius),
        ("air temperature", ChannelRole.AirTemperature, Unit.Celsius),
        ("auxiliary volts", ChannelRole.AuxiliaryVolts, Unit.Volt),
        ("auxiliary amperes", ChannelRole.AuxiliaryAmperes, Unit.Ampere),
        ("auxiliary frequency", ChannelRole.AuxiliaryFrequency, Unit.Hertz),
        ("auxiliary power", ChannelRole.AuxiliaryPower, Unit.Watt),
    ];

    /// <summary>Whether a role is a temperature.</summary>
    internal static bool IsTemperature(ChannelRole role) => UnitOf(role) == Unit.Celsius;

    /// <summary>Whether a role belongs to the auxiliary output.</summary>
    internal static bool IsAuxiliary(ChannelRole role) =>
        role
            is ChannelRole.AuxiliaryVolts
                or ChannelRole.AuxiliaryAmperes
                or ChannelRole.AuxiliaryFrequency
                or ChannelRole.AuxiliaryPower;

    /// <summary>The word for a role.</summary>
    internal static string Word(ChannelRole role) => All.First(r => r.Role == role).Word;

    /// <summary>The unit a role is read in.</summary>
    internal static Unit UnitOf(ChannelRole role) => All.First(r => r.Role == role).Unit;
}
