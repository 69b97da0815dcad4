using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records.Measuring;

/// <summary>What is read beside volts and amperes of the weld output, by kind of group, and how it is called.</summary>
public static class BesideRoles
{
    private static readonly ChannelRole[] Temperatures =
    [
        ChannelRole.UnitTemperature,
        ChannelRole.AirTemperature,
        ChannelRole.LugTemperature,
        ChannelRole.ReferenceShuntTemperature,
        ChannelRole.BankOutletTemperature,
    ];

    private static readonly ChannelRole[] Auxiliary =
    [
        ChannelRole.AuxiliaryVolts,
        ChannelRole.AuxiliaryAmperes,
        ChannelRole.AuxiliaryFrequency,
        ChannelRole.AuxiliaryPower,
    ];

    /// <summary>Roles read at the points of a group.</summary>
    public static ChannelRole[] Of(GroupKind kind) =>
        kind switch
        {
            GroupKind.HeatRun => Temperatures,
            GroupKind.Auxiliary or GroupKind.WeldAndAuxiliary => Auxiliary,
            _ => [],
        };

    /// <summary>A role in words of reports.</summary>
    public static string Word(ChannelRole role) =>
        role switch
        {
            ChannelRole.UnitTemperature => "unit temperature",
            ChannelRole.AirTemperature => "air temperature",
            ChannelRole.LugTemperature => "lug temperature",
            ChannelRole.ReferenceShuntTemperature => "reference shunt temperature",
            ChannelRole.BankOutletTemperature => "bank outlet temperature",
            ChannelRole.AuxiliaryVolts => "auxiliary voltage",
            ChannelRole.AuxiliaryAmperes => "auxiliary current",
            ChannelRole.AuxiliaryFrequency => "auxiliary frequency",
            ChannelRole.AuxiliaryPower => "auxiliary power",
            _ => throw new ArgumentOutOfRangeException(nameof(role), role, "Not read beside the weld output."),
        };

    /// <summary>Unit symbol of a role.</summary>
    public static string Symbol(ChannelRole role) =>
        role switch
        {
            ChannelRole.AuxiliaryAmperes or ChannelRole.BankAmperes => "A",
            ChannelRole.AuxiliaryFrequency => "Hz",
            ChannelRole.AuxiliaryPower => "W",
            ChannelRole.UnitTemperature
            or ChannelRole.AirTemperature
            or ChannelRole.LugTemperature
            or ChannelRole.ReferenceShuntTemperature
            or ChannelRole.BankOutletTemperature => "°C",
            _ => "V",
        };
}
