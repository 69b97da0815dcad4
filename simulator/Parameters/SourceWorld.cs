namespace LoadTest.Simulator.Parameters;

/// <summary>Engine and governor.</summary>
public sealed record EngineWorld
{
    /// <summary>Speed at which the alternator gives its line volts, rpm.</summary>
    public required double RatedRpm { get; init; }

    /// <summary>Governed speed without load, rpm.</summary>
    public required double NoLoadRpm { get; init; }

    /// <summary>Speed lost at rated shaft power, rpm: the governor's droop.</summary>
    public required double DroopRpm { get; init; }

    /// <summary>Shaft power at which the droop is stated, W.</summary>
    public required double RatedShaftWatts { get; init; }

    /// <summary>Power at the studs over shaft power, 0 to 1; alternator, rectifier and control together.</summary>
    public required double Efficiency { get; init; }

    /// <summary>Time constant of a speed change under the governor, s.</summary>
    public required double LagSeconds { get; init; }

    /// <summary>Time the starter turns before the engine fires, s.</summary>
    public required double CrankSeconds { get; init; }

    /// <summary>Time constant of coasting down, s.</summary>
    public required double CoastSeconds { get; init; }

    /// <summary>Speed when idled down, rpm.</summary>
    public required double IdleRpm { get; init; }

    /// <summary>Time without current before it idles down, s, when idle-down is on.</summary>
    public required double IdleDownSeconds { get; init; }

    /// <summary>Shaft power the engine cannot carry, W.</summary>
    public required double StallWatts { get; init; }

    /// <summary>How long it carries more than that before it stalls, s.</summary>
    public required double StallSeconds { get; init; }
}

/// <summary>Three-phase alternator and its field.</summary>
public sealed record AlternatorWorld
{
    /// <summary>Line-to-line volts, rms, at rated speed and full field.</summary>
    public required double LineVolts { get; init; }

    /// <summary>Number of poles; electrical frequency is rpm × poles / 120.</summary>
    public required int Poles { get; init; }

    /// <summary>Time constant of the field's build-up, s.</summary>
    public required double BuildUpSeconds { get; init; }

    /// <summary>Speed below which the field does not build up, rpm.</summary>
    public required double BuildUpRpm { get; init; }

    /// <summary>Residual field, as a fraction of full field.</summary>
    public required double ResidualField { get; init; }
}

/// <summary>Six-pulse rectifier and the impedance before the output control.</summary>
public sealed record RectifierWorld
{
    /// <summary>Drop of one diode, V; two conduct in series.</summary>
    public required double DiodeVolts { get; init; }

    /// <summary>Winding resistance and commutation (overlap) drop as one resistance on the DC side, Ω.</summary>
    public required double SourceOhms { get; init; }

    /// <summary>Corner of the output choke's first-order filter on ripple, Hz.</summary>
    public required double RippleCornerHertz { get; init; }
}

/// <summary>The output control: three characteristics, one dial.</summary>
public sealed record ControlWorld
{
    /// <summary>Constant current: lowest setting, A.</summary>
    public required double MinimumAmperes { get; init; }

    /// <summary>Constant current: highest setting, A.</summary>
    public required double MaximumAmperes { get; init; }

    /// <summary>Constant current: amperes gained per volt the load lies below the load line 20 V + 0.04 Ω × I.</summary>
    public required double AmperesPerVolt { get; init; }

    /// <summary>Constant voltage: lowest setting, V.</summary>
    public required double MinimumVolts { get; init; }

    /// <summary>Constant voltage: highest setting, V.</summary>
    public required double MaximumVolts { get; init; }

    /// <summary>Constant voltage: slope of the characteristic, Ω (0.01 Ω is 1 V in 100 A).</summary>
    public required double SlopeOhms { get; init; }

    /// <summary>Constant voltage: current limit, A, by the unit's own shunt.</summary>
    public required double CurrentLimitAmperes { get; init; }

    /// <summary>Drooping: open-circuit volts; the setting is the current on the load line.</summary>
    public required double DroopingVolts { get; init; }

    /// <summary>Time constant with which the output follows a change of setting, s.</summary>
    public required double SettlingSeconds { get; init; }

    /// <summary>How the output meets a sudden change of load; null when the control follows at once.</summary>
    public TransientWorld? Transient { get; init; }

    /// <summary>Gain error of dial and control, % of setting.</summary>
    public required double GainErrorPercent { get; init; }

    /// <summary>Offset error of dial and control, % of the highest setting.</summary>
    public required double OffsetPercent { get; init; }

    /// <summary>How well a hand finds a mark again, standard deviation, % of the highest setting.</summary>
    public required double HandPercent { get; init; }
}

/// <summary>What a sudden change of load does until the control has followed.</summary>
public sealed record TransientWorld
{
    /// <summary>Constant voltage: volts lost per sudden ampere, Ω.</summary>
    public required double Ohms { get; init; }

    /// <summary>Constant current: amperes gained per sudden volt less, S.</summary>
    public required double Siemens { get; init; }

    /// <summary>Time constant with which the control follows, s.</summary>
    public required double Seconds { get; init; }
}
