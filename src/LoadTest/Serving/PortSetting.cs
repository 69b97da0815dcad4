namespace LoadTest.Serving;

/// <summary>What is particular about one device's port.</summary>
/// <param name="Receive">Takes what clients say instead of the device itself; null for the device.</param>
/// <param name="IsForOne">Whether a second client is turned away while there is one.</param>
/// <param name="Trace">Told of everything that passes: device, whether it came in, bytes; on the pump.</param>
internal sealed record PortSetting(
    Action<ReadOnlyMemory<byte>>? Receive,
    bool IsForOne,
    Action<string, bool, ReadOnlyMemory<byte>>? Trace
);
