namespace LoadTest.Instruments.Modbus;

/// <summary>Exception codes a Modbus device answers with, and their names.</summary>
/// <remarks>MODBUS Application Protocol V1.1b3, clause 7.</remarks>
internal static class ModbusExceptions
{
    public const byte Acknowledge = 5;
    public const byte Busy = 6;

    /// <summary>The code in hex and its name: <c>exception 0x02 (illegal data address)</c>.</summary>
    public static string Named(byte code)
    {
        var name = code switch
        {
            1 => "illegal function",
            2 => "illegal data address",
            3 => "illegal data value",
            4 => "server device failure",
            Acknowledge => "acknowledge: accepted, still at work",
            Busy => "server device busy",
            8 => "memory parity error",
            10 => "gateway path unavailable",
            11 => "gateway target device failed to respond",
            _ => "not a standard code",
        };
        return $"exception 0x{code:X2} ({name})";
    }
}
