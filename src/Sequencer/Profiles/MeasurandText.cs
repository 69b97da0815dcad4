using System.Collections.Immutable;
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
    ];

    /// <summary>The word for a measurand.</summary>
    internal static string Word(Measurand measurand) => All.First(m => m.Measurand == measurand).Word;
}
