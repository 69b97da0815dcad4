namespace LoadTest.Instruments.Modbus;

/// <summary>How long a reply body is, told from its own first bytes: RTU has nothing else to frame a reply by.</summary>
internal static class ReplyLength
{
    /// <summary>More bytes are needed to tell.</summary>
    public const int Untold = -1;

    /// <summary>The body is of no function used here.</summary>
    public const int Unknown = 0;

    private const int IdentificationHead = 7;

    /// <summary>Length of the reply body that these bytes begin with; it may be longer than what is here.</summary>
    /// <remarks>
    /// Reads and function 23 carry a byte count, writes repeat their request's first bytes, refusals have two bytes (MODBUS
    /// Application Protocol V1.1b3, clauses 6 and 7); an identification is walked object by object (6.21).
    /// </remarks>
    public static int Of(ReadOnlySpan<byte> body)
    {
        if (body.IsEmpty)
            return Untold;
        switch (body[0])
        {
            case (>= Pdu.ReadCoils and <= Pdu.ReadInputRegisters) or Pdu.ReadWriteRegisters:
                return body.Length < 2 ? Untold : 2 + body[1];
            case Pdu.WriteSingleCoil or Pdu.WriteSingleRegister or Pdu.WriteMultipleCoils or Pdu.WriteMultipleRegisters:
                return 5;
            case Pdu.MaskWriteRegister:
                return 7;
            case Pdu.EncapsulatedInterface:
                return Identification(body);
            default:
                return body[0] >= Pdu.ExceptionBit ? 2 : Unknown;
        }
    }

    private static int Identification(ReadOnlySpan<byte> body)
    {
        if (body.Length > 1 && body[1] != Pdu.DeviceIdentificationKind)
            return Unknown;
        if (body.Length < IdentificationHead)
            return Untold;
        var end = IdentificationHead;
        for (var k = 0; k < body[6]; k++)
        {
            if (end + 2 > Pdu.MostBytes)
                return Unknown;
            if (body.Length < end + 2)
                return Untold;
            end += 2 + body[end + 1];
        }
        return end > Pdu.MostBytes ? Unknown : end;
    }
}
