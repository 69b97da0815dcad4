using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Quantities and units in the words of profiles and reports.</summary>
internal static class Words
{
    public static string For(Measurand measurand) =>
        measurand switch
        {
            Measurand.OutputVoltage => "output voltage",
            Measurand.OutputCurrent => "output current",
            Measurand.OutputPower => "output power",
            Measurand.LoadConductance => "load conductance",
            Measurand.ShuntRatio => "shunt ratio",
            Measurand.SetCurrentError => "set current error",
            Measurand.IndicatedCurrentError => "indicated current error",
            Measurand.SetVoltageError => "set voltage error",
            Measurand.IndicatedVoltageError => "indicated voltage error",
            Measurand.OpenCircuitVoltage => "open-circuit voltage",
            Measurand.CurrentAtLoadLine => "current at load line",
            Measurand.CurveSlope => "curve slope",
            Measurand.Value => "value",
            _ => "drift",
        };

    public static string For(Unit? unit) =>
        unit switch
        {
            null => "its unit",
            Unit.Volt => "V",
            Unit.Ampere => "A",
            Unit.Ohm => "Ω",
            Unit.VoltPerAmpere => "V/A or mV/A",
            Unit.Watt => "W",
            Unit.Fraction => "%",
            Unit.Second => "s",
            _ => unit.ToString()!.ToLowerInvariant(),
        };

    /// <summary>A number in its unit, four significant digits, millivolts per ampere and percent as people read them.</summary>
    public static string Number(double? value, Unit unit) =>
        (value, unit) switch
        {
            (null, _) => "none",
            ({ } v, Unit.VoltPerAmpere) => $"{v * 1000:G4} mV/A",
            ({ } v, Unit.Fraction) => $"{v * 100:G4} %",
            ({ } v, Unit.One) => $"{v:G4}",
            ({ } v, _) => $"{v:G4} {For(unit)}",
        };

    public static string Number(Quantity quantity) => Number(quantity.Value, quantity.Unit);
}
