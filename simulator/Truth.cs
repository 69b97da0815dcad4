namespace LoadTest.Simulator;

/// <summary>What is really so on the bench at one instant; no instrument knows it.</summary>
/// <param name="At">Time since the bench was made.</param>
/// <param name="StudVolts">Volts at the output studs.</param>
/// <param name="Amperes">Amperes through studs, leads, reference shunt and bank.</param>
/// <param name="BankVolts">Volts at the bank's terminals.</param>
/// <param name="UnitShuntVolts">Drop at the sense terminals of the unit's shunt, V.</param>
/// <param name="ReferenceShuntVolts">Drop at the sense terminals of the reference shunt, V.</param>
/// <param name="UnitOhms">The unit's shunt as its sense terminals show it, drop over amperes without thermal voltage, Ω.</param>
/// <param name="Conductance">Conductance of the elements really closed, S.</param>
/// <param name="ElementsOn">Contactors really closed, bit k = element k.</param>
/// <param name="RippleVolts">Ripple at the studs, V rms.</param>
/// <param name="EngineRpm">Engine speed, rpm.</param>
/// <param name="IsEngineRunning">The engine runs under its governor.</param>
/// <param name="IsOutputOn">The weld output is switched on.</param>
/// <param name="IsControlLost">The control sees no current and gives all it can.</param>
public readonly record struct Truth(
    TimeSpan At,
    double StudVolts,
    double Amperes,
    double BankVolts,
    double UnitShuntVolts,
    double ReferenceShuntVolts,
    double UnitOhms,
    double Conductance,
    uint ElementsOn,
    double RippleVolts,
    double EngineRpm,
    bool IsEngineRunning,
    bool IsOutputOn,
    bool IsControlLost
)
{
    /// <summary>Temperature of the unit's winding, °C.</summary>
    public double WindingCelsius { get; init; }

    /// <summary>Temperature of the reference shunt, °C.</summary>
    public double ReferenceShuntCelsius { get; init; }

    /// <summary>Temperature of the air, °C.</summary>
    public double AirCelsius { get; init; }

    /// <summary>Volts rms of the auxiliary output.</summary>
    public double AuxiliaryVolts { get; init; }

    /// <summary>Frequency of the auxiliary output, Hz.</summary>
    public double AuxiliaryHertz { get; init; }

    /// <summary>Power at the auxiliary output, W.</summary>
    public double AuxiliaryWatts { get; init; }
}
