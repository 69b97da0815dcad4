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
    ];

    /// <summary>The word for a role.</summary>
    internal static string Word(ChannelRole role) => All.First(r => r.Role == role).Word;

    /// <summary>The unit a role is read in.</summary>
    internal static Unit UnitOf(ChannelRole role) => All.First(r => r.Role == role).Unit;
}
