using LoadTest.Sequencer.Benches;

namespace LoadTest.Serving;

/// <summary>Where one instrument is served.</summary>
/// <param name="Name">Its id on the bench; "hands" for the hands.</param>
/// <param name="Protocol">"modbus-tcp", "modbus-rtu", "scpi" or "panel".</param>
/// <param name="Line">TCP address, or serial port.</param>
/// <param name="Unit">Modbus unit identifier; null for other protocols.</param>
internal sealed record ServedInstrument(string Name, string Protocol, LineText Line, int? Unit);
