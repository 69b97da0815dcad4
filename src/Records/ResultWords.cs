using LoadTest.Analysis.Decision;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records;

/// <summary>Quantities, units and verdicts in the words of records and reports.</summary>
public static class ResultWords
{
    /// <summary>A measurand as profiles write it.</summary>
    public static string Of(Measurand measurand) =>
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
            Measurand.Drift => "drift",
            Measurand.UnitTemperature => "unit temperature",
            Measurand.UnitTemperatureRise => "unit temperature rise",
            Measurand.BankOutletTemperature => "bank outlet temperature",
            Measurand.LugTemperature => "lug temperature",
            Measurand.ReferenceShuntTemperature => "reference shunt temperature",
            Measurand.Dip => "dip",
            Measurand.Overshoot => "overshoot",
            Measurand.RecoveryTime => "recovery time",
            Measurand.AuxiliaryVoltage => "auxiliary voltage",
            Measurand.AuxiliaryCurrent => "auxiliary current",
            Measurand.AuxiliaryFrequency => "auxiliary frequency",
            Measurand.AuxiliaryPower => "auxiliary power",
            Measurand.VoltageRegulation => "voltage regulation",
            Measurand.FrequencyDroop => "frequency droop",
            _ => throw new ArgumentOutOfRangeException(nameof(measurand), measurand, "Not a measurand."),
        };

    /// <summary>A verdict as reports print it.</summary>
    public static string Of(Verdict verdict) =>
        verdict switch
        {
            Verdict.Pass => "pass",
            Verdict.Fail => "fail",
            Verdict.Undecided => "undecided",
            Verdict.NotTested => "not tested",
            Verdict.Unknown => "unknown",
            _ => throw new ArgumentOutOfRangeException(nameof(verdict), verdict, "Not a verdict."),
        };

    /// <summary>The verdict of a run as reports print it.</summary>
    public static string Of(OverallVerdict verdict) =>
        verdict switch
        {
            OverallVerdict.Pass => "pass",
            OverallVerdict.Fail => "fail",
            OverallVerdict.Undecided => "undecided",
            OverallVerdict.Incomplete => "incomplete",
            OverallVerdict.Unknown => "unknown",
            _ => throw new ArgumentOutOfRangeException(nameof(verdict), verdict, "Not a verdict of a run."),
        };

    /// <summary>A characteristic in words.</summary>
    public static string Of(Characteristic characteristic) =>
        characteristic switch
        {
            Characteristic.ConstantCurrent => "constant current",
            Characteristic.ConstantVoltage => "constant voltage",
            Characteristic.Drooping => "drooping",
            _ => throw new ArgumentOutOfRangeException(nameof(characteristic), characteristic, "Not a characteristic."),
        };

    /// <summary>When a group was taken; empty when it is tied to no adjustment.</summary>
    public static string Of(Condition condition) =>
        condition switch
        {
            Condition.AsFound => "as found",
            Condition.AsLeft => "as left",
            _ => "",
        };

    /// <summary>What the proof that a bench is simulated rests on, as a clause.</summary>
    public static string Of(SimulationProof? proof) =>
        proof switch
        {
            SimulationProof.InMemory => "its lines were in the memory of the program that ran the test",
            SimulationProof.OneProcess =>
                "one process with this program's file and the secret of its start had the other end of every line; a program written to deceive could do both",
            SimulationProof.SecretAlone =>
                "the other end knew the secret of the simulator's start, and the system did not say which process that was; a program written to deceive could know it",
            _ => "the journal does not say by what",
        };

    /// <summary>Symbol of a unit; empty for a plain number.</summary>
    public static string Symbol(Unit unit) => UnitText.Symbol(unit);

    /// <summary>How a unit is shown to people: its symbol there and the factor from the stored unit.</summary>
    /// <remarks>Ratios are read in mV/A and fractions in percent: 0.00012 V/A is 0.12 mV/A, 0.01 is 1 %.</remarks>
    public static (string Symbol, double Factor) Shown(Unit unit) => UnitText.Shown(unit);
}
