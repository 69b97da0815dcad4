using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Turns amounts of a profile into numbers for one mode: percentages get their base from nameplate and step.</summary>
internal static class AmountResolver
{
    /// <summary>The amount in its own unit, and that unit; null when its base is not known here.</summary>
    /// <param name="amount">A quantity, a percentage of a base, or a base itself.</param>
    /// <param name="nameplate">The unit.</param>
    /// <param name="mode">The mode in force.</param>
    /// <param name="commanded">What the elements commanded on would give, siemens; null where none are.</param>
    public static Quantity? Resolve(Amount amount, Nameplate nameplate, UnitMode mode, double? commanded = null)
    {
        if (amount.Of is not { } name)
            return new Quantity(amount.Value, amount.Unit);
        var from = BaseOf(name, nameplate, mode, commanded);
        return from is { } known ? known with { Value = known.Value * amount.Value } : null;
    }

    private static Quantity? BaseOf(BaseName name, Nameplate nameplate, UnitMode mode, double? commanded) =>
        name switch
        {
            BaseName.RatedCurrent => new(mode.RatedAmperes.Value, Unit.Ampere),
            BaseName.RatedVoltage => new(mode.RatedVolts.Value, Unit.Volt),
            BaseName.RatedPower => new((mode.RatedVolts * mode.RatedAmperes).Value, Unit.Watt),
            BaseName.MaximumSetting => mode.MaximumSetting,
            BaseName.RatedRatio => new(nameplate.Shunt.RatedRatio, Unit.VoltPerAmpere),
            BaseName.RatedAuxiliaryVoltage when nameplate.Auxiliary is { } a => new(a.Volts.Value, Unit.Volt),
            BaseName.RatedFrequency when nameplate.Auxiliary is { } a => new(a.Hertz, Unit.Hertz),
            BaseName.Commanded when commanded is { } siemens => new(siemens, Unit.One),
            _ => null,
        };
}
