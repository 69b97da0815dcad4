namespace LoadTest.Simulator.Faults;

/// <summary>What a fault strikes, and so what else it must name.</summary>
public enum FaultTarget
{
    /// <summary>The unit: engine, alternator, rectifier, control, shunt; or the leads.</summary>
    Source,

    /// <summary>The load bank as a whole.</summary>
    Bank,

    /// <summary>One element of the bank; the fault names it.</summary>
    Element,

    /// <summary>The answers of any device; the fault names it.</summary>
    Device,

    /// <summary>The answers of the bank or a logger that speaks Modbus; the fault names it.</summary>
    Modbus,

    /// <summary>The answers of the bank or a logger that speaks Modbus TCP; the fault names it.</summary>
    ModbusTcp,

    /// <summary>What one multimeter reads; the fault names it.</summary>
    Meter,
}
