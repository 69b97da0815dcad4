namespace LoadTest.Simulator.Parameters;

/// <summary>An instrument beside bank, meters and loggers.</summary>
public sealed record AccessoryWorld
{
    /// <summary>Name of the device.</summary>
    public required string Name { get; init; }

    /// <summary>What it is: "power meter", "ac bank", "relays and setter", "temperature logger" or "panel meter".</summary>
    public required string Kind { get; init; }

    /// <summary>Modbus unit identifier, 1 to 247; without meaning on a text protocol.</summary>
    public required int UnitId { get; init; }

    /// <summary>Serial number it gives.</summary>
    public required long SerialNumber { get; init; }

    /// <summary>Time between the end of a request and the start of the answer, ms.</summary>
    public required double TurnAroundMilliseconds { get; init; }
}
