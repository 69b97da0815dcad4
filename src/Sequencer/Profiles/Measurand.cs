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
}
