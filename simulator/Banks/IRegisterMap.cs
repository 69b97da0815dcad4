namespace LoadTest.Simulator.Banks;

/// <summary>The tables of a Modbus device and what a write does to them.</summary>
internal interface IRegisterMap
{
    int CoilCount { get; }
    int DiscreteCount { get; }
    int HoldingCount { get; }

    ulong Coils();
    ulong Discretes();
    ReadOnlySpan<ushort> HoldingRegisters();
    ReadOnlySpan<ushort> InputRegisters();

    /// <summary>Obeys a write of coils; false when something forbids it.</summary>
    bool WriteCoils(int address, int quantity, ulong values, long ticks);

    /// <summary>Obeys a write of holding registers; false when a value is not allowed, and then nothing is written.</summary>
    bool WriteHolding(int address, ReadOnlySpan<ushort> words, long ticks);

    /// <summary>A well-formed request has arrived.</summary>
    void Fed(long ticks);

    /// <summary>Whether this request is answered with "busy".</summary>
    bool SpendBusy();
}
