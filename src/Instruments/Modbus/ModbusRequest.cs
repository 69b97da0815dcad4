namespace LoadTest.Instruments.Modbus;

/// <summary>A request body made once and used many times, and what its reply must look like.</summary>
internal sealed class ModbusRequest
{
    private readonly byte[] _pdu;
    private readonly Shape _shape;
    private ModbusTransaction? _spare;

    private ModbusRequest(byte[] pdu, Shape shape, int payloadBytes)
    {
        _pdu = pdu;
        _shape = shape;
        PayloadBytes = payloadBytes;
    }

    /// <summary>How the reply tells that it belongs to the request.</summary>
    private enum Shape
    {
        /// <summary>By its count of payload bytes.</summary>
        Payload,

        /// <summary>By repeating the request's first bytes.</summary>
        Repeated,

        /// <summary>By repeating kind and level; as long as its objects are.</summary>
        Objects,
    }

    public ReadOnlySpan<byte> Pdu => _pdu;

    public byte Function => _pdu[0];

    /// <summary>Bytes of payload in the reply, the most of them where the reply itself says how many; 0 when it repeats the request.</summary>
    public int PayloadBytes { get; }

    /// <summary>Whether it changes something in the device.</summary>
    public bool IsWrite =>
        Function
            is Modbus.Pdu.WriteSingleCoil
                or Modbus.Pdu.WriteSingleRegister
                or Modbus.Pdu.WriteMultipleCoils
                or Modbus.Pdu.WriteMultipleRegisters
                or Modbus.Pdu.MaskWriteRegister
                or Modbus.Pdu.ReadWriteRegisters;

    /// <summary>Whether it may be sent while an earlier reply is in doubt.</summary>
    public bool MayLeaveInDoubt { get; init; }

    /// <summary>Most bytes of the whole reply body.</summary>
    public int ReplyBytes => _shape == Shape.Repeated ? Repeats : 2 + PayloadBytes;

    private int Repeats => Function == Modbus.Pdu.MaskWriteRegister ? 7 : 5;

    public static ModbusRequest Read(byte function, int start, int count, bool mayLeaveInDoubt = false) =>
        new(Modbus.Pdu.Read(function, start, count), Shape.Payload, Modbus.Pdu.PayloadBytes(function, count))
        {
            MayLeaveInDoubt = mayLeaveInDoubt,
        };

    /// <summary>A request to write, of function 5, 6, 15, 16 or 22; function 23 also reads.</summary>
    public static ModbusRequest Write(byte[] pdu, bool mayLeaveInDoubt = false)
    {
        var isRead = pdu[0] == Modbus.Pdu.ReadWriteRegisters;
        var request = new ModbusRequest(
            pdu,
            isRead ? Shape.Payload : Shape.Repeated,
            isRead ? 2 * RequestWords.Word(pdu, 3) : 0
        )
        {
            MayLeaveInDoubt = mayLeaveInDoubt,
        };
        return request.IsWrite ? request : throw new ArgumentException($"Function {pdu[0]} is no write.", nameof(pdu));
    }

    /// <summary>A request for identification objects from <paramref name="firstObject"/> on.</summary>
    public static ModbusRequest Identification(byte level, byte firstObject) =>
        new(Modbus.Pdu.ReadIdentification(level, firstObject), Shape.Objects, Modbus.Pdu.MostBytes - 2);

    /// <summary>Whether a reply body belongs to this request: function, then byte count, repeated bytes or kind and level.</summary>
    public bool IsAnsweredBy(ReadOnlySpan<byte> reply)
    {
        if (!MayBeOf(reply.Length) || reply.IsEmpty || reply[0] != Function)
            return false;
        return _shape switch
        {
            Shape.Payload => reply[1] == PayloadBytes,
            Shape.Repeated => reply.SequenceEqual(Pdu[..Repeats]),
            _ => ReplyLength.Of(reply) == reply.Length && reply[1] == Pdu[1] && reply[2] == Pdu[2],
        };
    }

    /// <summary>Whether a reply body of this length may belong to this request.</summary>
    public bool MayBeOf(int length) => _shape == Shape.Objects ? length <= Modbus.Pdu.MostBytes : length == ReplyBytes;

    /// <summary>Whether a reply body refuses this request.</summary>
    public bool IsRefusedBy(ReadOnlySpan<byte> reply) =>
        reply.Length == 2 && reply[0] == (Function | Modbus.Pdu.ExceptionBit);

    /// <summary>A transaction that carries this request; one is kept for the next time.</summary>
    public ModbusTransaction Rent(IModbusFraming framing, byte unit, int addressBase = 0)
    {
        var spare = _spare;
        _spare = null;
        return spare ?? Make(framing, unit, addressBase);
    }

    /// <summary>A transaction of its own that carries this request.</summary>
    public ModbusTransaction Make(IModbusFraming framing, byte unit, int addressBase = 0) =>
        new(this, framing, unit, addressBase) { MayLeaveInDoubt = MayLeaveInDoubt };

    /// <summary>Takes back a transaction that ended with its reply and is read out.</summary>
    public void Return(ModbusTransaction transaction) => _spare = transaction;
}
