namespace LoadTest.Simulator.Faults;

/// <summary>Something that goes wrong, by name.</summary>
/// <param name="Name">One of <see cref="FaultCatalogue.Names"/>.</param>
/// <param name="Device">The device it strikes, where the fault is of a device.</param>
/// <param name="Element">The bank element it strikes, counted from 0, where the fault is of an element.</param>
/// <param name="Value">Its size, in the unit the catalogue gives; the catalogue's usual size when left out.</param>
/// <param name="Count">How many answers it strikes; 0 means until cleared; the catalogue's usual count when left out.</param>
public sealed record Fault(
    string Name,
    string? Device = null,
    int? Element = null,
    double? Value = null,
    int? Count = null
);

/// <summary>A fault as a world file states it.</summary>
public sealed record FaultWorld
{
    /// <summary>Name from the catalogue.</summary>
    public required string Fault { get; init; }

    /// <summary>Device, where one is needed.</summary>
    public string? Device { get; init; }

    /// <summary>Element, where one is needed.</summary>
    public int? Element { get; init; }

    /// <summary>Size, in the catalogue's unit.</summary>
    public double? Value { get; init; }

    /// <summary>How many answers.</summary>
    public int? Count { get; init; }

    /// <summary>When it comes, s after the bench was made.</summary>
    public required double AtSeconds { get; init; }

    internal Fault ToFault() => new(Fault, Device, Element, Value, Count);
}
