namespace LoadTest.Instruments.Modbus;

/// <summary>A request body made once and used many times, and what its reply must look like.</summary>
internal sealed class ModbusRequest
{
    private readonly byte[] _pdu;
    private ModbusTransaction? _spare;

    private ModbusRequest(byte[] pdu, int payloadBytes, string words)
    {
        _pdu = pdu;
        PayloadBytes = payloadBytes;
        Words = words;
    }

    public ReadOnlySpan<byte> Pdu => _pdu;

    public byte Function => _pdu[0];

    /// <summary>Bytes of payload in the reply; 0 for a write, whose reply repeats the request's first five bytes.</summary>
    public int PayloadBytes { get; }

    public bool IsWrite => PayloadBytes == 0;

    /// <summary>Whether it may be sent while an earlier reply is in doubt.</summary>
    public bool MayLeaveInDoubt { get; init; }

    /// <summary>Bytes of the whole reply body.</summary>
    public int ReplyBytes => IsWrite ? 5 : 2 + PayloadBytes;

    /// <summary>What it asks for, in words.</summary>
    public string Words { get; }

    public static ModbusRequest Read(byte function, int start, int count, bool mayLeaveInDoubt = false)
    {
        var what = function switch
        {
            Modbus.Pdu.ReadCoils => "coils",
            Modbus.Pdu.ReadDiscreteInputs => "discrete inputs",
            Modbus.Pdu.ReadHoldingRegisters => "holding registers",
            _ => "input registers",
        };
        return new ModbusRequest(
            Modbus.Pdu.Read(function, start, count),
            Modbus.Pdu.PayloadBytes(function, count),
            $"reading {count} {what} from address {start}"
        )
        {
            MayLeaveInDoubt = mayLeaveInDoubt,
        };
    }

    public static ModbusRequest Write(byte[] pdu, bool mayLeaveInDoubt = false)
    {
        var address = pdu[1] << 8 | pdu[2];
        var words = pdu[0] switch
        {
            Modbus.Pdu.WriteSingleCoil => $"writing the coil at address {address}",
            Modbus.Pdu.WriteSingleRegister => $"writing the holding register at address {address}",
            Modbus.Pdu.WriteMultipleCoils => $"writing {pdu[3] << 8 | pdu[4]} coils from address {address}",
            Modbus.Pdu.WriteMultipleRegisters =>
                $"writing {pdu[3] << 8 | pdu[4]} holding registers from address {address}",
            _ => throw new ArgumentException($"Function {pdu[0]} is no write.", nameof(pdu)),
        };
        return new ModbusRequest(pdu, 0, words) { MayLeaveInDoubt = mayLeaveInDoubt };
    }

    /// <summary>Whether a reply body belongs to this request: function, then byte count or repeated address and value.</summary>
    public bool IsAnsweredBy(ReadOnlySpan<byte> reply)
    {
        if (reply.Length != ReplyBytes || reply[0] != Function)
            return false;
        return IsWrite ? reply.SequenceEqual(Pdu[..5]) : reply[1] == PayloadBytes;
    }

    /// <summary>Whether a reply body refuses this request.</summary>
    public bool IsRefusedBy(ReadOnlySpan<byte> reply) =>
        reply.Length == 2 && reply[0] == (Function | Modbus.Pdu.ExceptionBit);

    /// <summary>A transaction that carries this request; one is kept for the next time.</summary>
    public ModbusTransaction Rent(IModbusFraming framing, byte unit)
    {
        var spare = _spare;
        _spare = null;
        return spare ?? Make(framing, unit);
    }

    /// <summary>A transaction of its own that carries this request.</summary>
    public ModbusTransaction Make(IModbusFraming framing, byte unit) =>
        new(this, framing, unit) { MayLeaveInDoubt = MayLeaveInDoubt };

    /// <summary>Takes back a transaction that ended with its reply and is read out.</summary>
    public void Return(ModbusTransaction transaction) => _spare = transaction;
}
