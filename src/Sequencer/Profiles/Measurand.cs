namespace LoadTest.Sequencer.Profiles;

/// <summary>The quantities a profile can limit or trip on; the words in files are in the remarks.</summary>
/// <remarks>A file writes them in lower case with spaces: <c>output current</c>, <c>shunt ratio</c>.</remarks>
public enum Measurand
{
    /// <summary><c>output voltage</c>: volts at the studs.</summary>
    OutputVoltage,

    /// <summary><c>output current</c>: amperes by the bench's reference.</summary>
    OutputCurrent,

    /// <summary><c>output power</c>: watts at the studs.</summary>
    OutputPower,

    /// <summary><c>load conductance</c>: amperes over volts at the bank, for trips only.</summary>
    LoadConductance,

    /// <summary><c>shunt ratio</c>: volts per ampere of the unit's own shunt.</summary>
    ShuntRatio,

    /// <summary><c>set current error</c>: set minus actual amperes.</summary>
    SetCurrentError,

    /// <summary><c>indicated current error</c>: panel meter minus actual amperes.</summary>
    IndicatedCurrentError,

    /// <summary><c>set voltage error</c>: set minus actual volts.</summary>
    SetVoltageError,

    /// <summary><c>indicated voltage error</c>: panel meter minus actual volts.</summary>
    IndicatedVoltageError,

    /// <summary><c>open-circuit voltage</c>: of a fitted volt-amp curve, volts.</summary>
    OpenCircuitVoltage,

    /// <summary><c>current at load line</c>: amperes where the fitted curve meets the conventional load line.</summary>
    CurrentAtLoadLine,

    /// <summary><c>curve slope</c>: volts per ampere of a fitted volt-amp curve, written V/100 A in reports.</summary>
    CurveSlope,

    /// <summary><c>value</c>: what a step by hand asks for.</summary>
    Value,

    /// <summary><c>drift</c>: change of the held quantity over a hold, percent of reading.</summary>
    Drift,

    /// <summary><c>unit temperature</c>: of the unit's guarded part, °C.</summary>
    UnitTemperature,

    /// <summary><c>unit temperature rise</c>: unit less air temperature at the end of a heat run, K.</summary>
    UnitTemperatureRise,

    /// <summary><c>bank outlet temperature</c>: for trips and cool-downs only.</summary>
    BankOutletTemperature,

    /// <summary><c>lug temperature</c>: for trips and cool-downs only.</summary>
    LugTemperature,

    /// <summary><c>reference shunt temperature</c>: for trips and cool-downs only.</summary>
    ReferenceShuntTemperature,

    /// <summary><c>dip</c>: lowest value after a sudden load below the new steady one, over the rated one.</summary>
    Dip,

    /// <summary><c>overshoot</c>: highest value after a sudden load above the new steady one, over the rated one.</summary>
    Overshoot,

    /// <summary><c>recovery time</c>: from a sudden load until the steady band is kept, s.</summary>
    RecoveryTime,

    /// <summary><c>auxiliary voltage</c>: volts rms of the auxiliary output.</summary>
    AuxiliaryVoltage,

    /// <summary><c>auxiliary current</c>: amperes rms of the auxiliary load, for trips only.</summary>
    AuxiliaryCurrent,

    /// <summary><c>auxiliary frequency</c>: of the auxiliary output, Hz.</summary>
    AuxiliaryFrequency,

    /// <summary><c>auxiliary power</c>: active power drawn from the auxiliary output, W.</summary>
    AuxiliaryPower,

    /// <summary><c>voltage regulation</c>: rise of the auxiliary voltage from the largest load to none, over that at the largest load.</summary>
    VoltageRegulation,

    /// <summary><c>frequency droop</c>: rise of the frequency from the largest load to none, over the rated frequency.</summary>
    FrequencyDroop,
}
