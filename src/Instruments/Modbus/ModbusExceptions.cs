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

    /// <summary>What the code says of instrument and definition, and where to look, as a clause.</summary>
    public static string Advice(byte code) =>
        code switch
        {
            1 => "the instrument does not do this kind of request; see in its manual which functions it has",
            2 => "the instrument has no such address; check addresses and `addresses count from` in its definition",
            3 => "the instrument does not take this value or so many at once; check the range in its manual",
            4 => "the instrument failed while it did so; look at its own display",
            Acknowledge =>
                "it is still at work and said nothing of the outcome; check what keeps it from doing so at once",
            Busy => "the instrument was busy with something else until the deadline; see what else talks to it",
            8 => "its memory is damaged; have it serviced",
            10 => "the gateway has no way to this unit; check the unit identifier and the gateway's setting",
            11 => "the gateway got no answer from this unit; check its supply, its wiring and the unit identifier",
            _ => "see the maker's manual for this code",
        };
}
