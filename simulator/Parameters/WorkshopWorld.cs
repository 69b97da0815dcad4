namespace LoadTest.Simulator.Parameters;

/// <summary>Auxiliary AC output, single-phase, off the same alternator.</summary>
public sealed record AuxiliaryWorld
{
    /// <summary>Volts rms without load at rated speed and full field.</summary>
    public required double Volts { get; init; }

    /// <summary>Resistance of its winding and leads, Ω.</summary>
    public required double SourceOhms { get; init; }

    /// <summary>Power at its terminals over shaft power, 0 to 1.</summary>
    public required double Efficiency { get; init; }

    /// <summary>Resistance of each AC element of the bank, Ω; their contactors follow those of the DC elements.</summary>
    public required double[] ElementOhms { get; init; }

    /// <summary>Elements lie within ± this of nominal, %, drawn from the seed.</summary>
    public required double TolerancePercent { get; init; }
}

/// <summary>How the unit's winding and the worst lug warm.</summary>
public sealed record HeatWorld
{
    /// <summary>Current at which the rises are stated, A.</summary>
    public required double RatedAmperes { get; init; }

    /// <summary>Rise of the winding above ambient at that current for good, K.</summary>
    public required double WindingRiseKelvin { get; init; }

    /// <summary>Thermal time constant of the winding, engine running, s.</summary>
    public required double WindingSeconds { get; init; }

    /// <summary>The same with the engine stopped, s.</summary>
    public required double StillSeconds { get; init; }

    /// <summary>Rise of the worst lug above ambient at that current for good, K.</summary>
    public required double LugRiseKelvin { get; init; }

    /// <summary>Thermal time constant of the lug, s.</summary>
    public required double LugSeconds { get; init; }
}

/// <summary>A logger: reads several quantities, each in an input register pair.</summary>
public sealed record LoggerWorld
{
    /// <summary>Name of the device.</summary>
    public required string Name { get; init; }

    /// <summary>Unit identifier, 1 to 247.</summary>
    public required int UnitId { get; init; }

    /// <summary>Serial number its register gives.</summary>
    public required long SerialNumber { get; init; }

    /// <summary>Time between the end of a request and the start of the answer, ms.</summary>
    public required double TurnAroundMilliseconds { get; init; }

    /// <summary>What it reads, first register pair first.</summary>
    public required LoggerChannelWorld[] Channels { get; init; }
}

/// <summary>One input of a logger.</summary>
public sealed record LoggerChannelWorld
{
    /// <summary>What it senses, from the list in the README.</summary>
    public required string Senses { get; init; }

    /// <summary>Gain error, % of reading.</summary>
    public required double ErrorPercent { get; init; }

    /// <summary>Offset, in the unit of the reading.</summary>
    public required double Offset { get; init; }

    /// <summary>Noise, standard deviation, in the unit of the reading.</summary>
    public required double Noise { get; init; }
}
