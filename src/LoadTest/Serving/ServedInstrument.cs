namespace LoadTest.Serving;

/// <summary>Where one instrument is served.</summary>
/// <param name="Name">Its id on the bench; "hands" for the hands.</param>
/// <param name="Protocol">"modbus-tcp", "modbus-rtu", "scpi" or "panel".</param>
/// <param name="Host">Address.</param>
/// <param name="Port">Port.</param>
/// <param name="Unit">Modbus unit identifier; null for other protocols.</param>
internal sealed record ServedInstrument(string Name, string Protocol, string Host, int Port, int? Unit);
