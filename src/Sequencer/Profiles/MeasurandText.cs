using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Profiles;

/// <summary>The words for what a profile limits, and in which unit.</summary>
internal static class MeasurandText
{
    /// <summary>Every measurand that may stand under <c>expect</c>, with an example of its limit.</summary>
    internal static readonly ImmutableArray<(string Word, Measurand Measurand, Unit Unit, string Example)> All =
    [
        ("output voltage", Measurand.OutputVoltage, Unit.Volt, "62 V to 80 V"),
        ("output current", Measurand.OutputCurrent, Unit.Ampere, "setting ± 3 %"),
        ("output power", Measurand.OutputPower, Unit.Watt, "at least 9 kW"),
        ("load conductance", Measurand.LoadConductance, Unit.One, "commanded ± 10 %"),
        ("shunt ratio", Measurand.ShuntRatio, Unit.VoltPerAmpere, "rated ratio ± 1 %"),
        ("set current error", Measurand.SetCurrentError, Unit.Ampere, "0 A ± 3 % of maximum setting"),
        ("indicated current error", Measurand.IndicatedCurrentError, Unit.Ampere, "0 A ± 3 % of maximum setting"),
        ("set voltage error", Measurand.SetVoltageError, Unit.Volt, "0 V ± 1 V"),
        ("indicated voltage error", Measurand.IndicatedVoltageError, Unit.Volt, "0 V ± 1 V"),
        ("open-circuit voltage", Measurand.OpenCircuitVoltage, Unit.Volt, "62 V to 80 V"),
        ("current at load line", Measurand.CurrentAtLoadLine, Unit.Ampere, "setting ± 5 %"),
        ("curve slope", Measurand.CurveSlope, Unit.VoltPerAmpere, "-30 V/100 A to 0 V/100 A"),
        ("drift", Measurand.Drift, Unit.Fraction, "at most 2 %"),
        ("unit temperature", Measurand.UnitTemperature, Unit.Celsius, "at most 120 °C"),
        ("unit temperature rise", Measurand.UnitTemperatureRise, Unit.Kelvin, "at most 80 K"),
        ("bank outlet temperature", Measurand.BankOutletTemperature, Unit.Celsius, "at most 120 °C"),
        ("lug temperature", Measurand.LugTemperature, Unit.Celsius, "at most 80 °C"),
        ("reference shunt temperature", Measurand.ReferenceShuntTemperature, Unit.Celsius, "at most 80 °C"),
        ("dip", Measurand.Dip, Unit.Fraction, "at most 20 %"),
        ("overshoot", Measurand.Overshoot, Unit.Fraction, "at most 10 %"),
        ("recovery time", Measurand.RecoveryTime, Unit.Second, "at most 1 s"),
        ("auxiliary voltage", Measurand.AuxiliaryVoltage, Unit.Volt, "rated auxiliary voltage ± 10 %"),
        ("auxiliary current", Measurand.AuxiliaryCurrent, Unit.Ampere, "at most 40 A"),
        ("auxiliary frequency", Measurand.AuxiliaryFrequency, Unit.Hertz, "58 Hz to 62 Hz"),
        ("auxiliary power", Measurand.AuxiliaryPower, Unit.Watt, "at least 8.5 kW"),
        ("voltage regulation", Measurand.VoltageRegulation, Unit.Fraction, "at most 8 %"),
        ("frequency droop", Measurand.FrequencyDroop, Unit.Fraction, "at most 5 %"),
    ];

    /// <summary>The word for a measurand.</summary>
    internal static string Word(Measurand measurand) => All.First(m => m.Measurand == measurand).Word;

    /// <summary>Which channel a trip or a cool-down looks at.</summary>
    internal static ChannelRole RoleOf(Measurand measurand) =>
        measurand switch
        {
            Measurand.UnitTemperature => ChannelRole.UnitTemperature,
            Measurand.BankOutletTemperature => ChannelRole.BankOutletTemperature,
            Measurand.LugTemperature => ChannelRole.LugTemperature,
            Measurand.ReferenceShuntTemperature => ChannelRole.ReferenceShuntTemperature,
            Measurand.AuxiliaryVoltage => ChannelRole.AuxiliaryVolts,
            Measurand.AuxiliaryCurrent => ChannelRole.AuxiliaryAmperes,
            Measurand.AuxiliaryFrequency => ChannelRole.AuxiliaryFrequency,
            _ => throw new ArgumentOutOfRangeException(
                nameof(measurand),
                measurand,
                "No channel of its own guards it."
            ),
        };
}
