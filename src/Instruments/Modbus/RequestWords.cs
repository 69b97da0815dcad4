namespace LoadTest.Instruments.Modbus;

/// <summary>What a Modbus request asks for, in words, with the addresses as its definition file counts them.</summary>
internal static class RequestWords
{
    /// <summary>A request as a clause: <c>reading input registers 3 and 4</c>.</summary>
    /// <param name="pdu">The request body; its addresses count from 0.</param>
    /// <param name="addressBase">The number of the first address in the definition file, 0 or 1.</param>
    public static string Of(ReadOnlySpan<byte> pdu, int addressBase)
    {
        var (first, count) = (Word(pdu, 1) + addressBase, Word(pdu, 3));
        return pdu[0] switch
        {
            Pdu.ReadCoils => $"reading {Named("coil", first, count)}",
            Pdu.ReadDiscreteInputs => $"reading {Named("discrete input", first, count)}",
            Pdu.ReadHoldingRegisters => $"reading {Named("holding register", first, count)}",
            Pdu.ReadInputRegisters => $"reading {Named("input register", first, count)}",
            Pdu.WriteSingleCoil => $"writing {Named("coil", first, 1)}",
            Pdu.WriteSingleRegister => $"writing {Named("holding register", first, 1)}",
            Pdu.WriteMultipleCoils => $"writing {Named("coil", first, count)}",
            Pdu.WriteMultipleRegisters => $"writing {Named("holding register", first, count)}",
            Pdu.MaskWriteRegister => $"writing bits of {Named("holding register", first, 1)}",
            Pdu.ReadWriteRegisters =>
                $"writing {Named("holding register", Word(pdu, 5) + addressBase, Word(pdu, 7))} and reading {Named("holding register", first, count)}",
            _ => $"reading the device identification from object {(pdu.Length > 3 ? pdu[3] : 0)}",
        };
    }

    /// <summary>Neighbours by name: <c>coil 5</c>, <c>coils 5 and 6</c>, <c>coils 5 to 12</c>.</summary>
    public static string Named(string what, int first, int count) =>
        count switch
        {
            <= 1 => $"{what} {first}",
            2 => $"{what}s {first} and {first + 1}",
            _ => $"{what}s {first} to {first + count - 1}",
        };

    /// <summary>A 16-bit number of a body; 0 where the body is shorter.</summary>
    public static int Word(ReadOnlySpan<byte> pdu, int at) => pdu.Length > at + 1 ? pdu[at] << 8 | pdu[at + 1] : 0;
}
