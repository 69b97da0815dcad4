using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Modbus;

/// <summary>One Modbus request on the wire.</summary>
/// <param name="request">What is asked.</param>
/// <param name="framing">How it is framed.</param>
/// <param name="unit">Unit identifier.</param>
/// <param name="addressBase">The number of the first address in the definition file, for messages.</param>
internal sealed class ModbusTransaction(ModbusRequest request, IModbusFraming framing, byte unit, int addressBase = 0)
    : Transaction
{
    private readonly byte[] _frame = framing.Encode(unit, request.Pdu);
    private readonly byte[] _body = new byte[Math.Max(2, request.ReplyBytes)];
    private ushort _number;
    private int _bodyLength;

    public override ReadOnlySpan<byte> Frame => _frame;

    public override string Words => RequestWords.Of(request.Pdu, addressBase);

    public override string EchoAdvice => "Switch the echo off at the two-wire adapter: no setting for Modbus takes one";

    public override string? CheckWords(ReadOnlySpan<byte> received) => framing.CheckWords(received);

    public override bool IsDone => ExceptionCode == 0;

    /// <summary>The reply body's payload, behind function and byte count, or behind function and kind; valid until the transaction is used again.</summary>
    public ReadOnlySpan<byte> Payload => _body.AsSpan(2, _bodyLength - 2);

    /// <summary>The exception code; 0 when the request was carried out.</summary>
    public byte ExceptionCode => (_body[0] & Pdu.ExceptionBit) != 0 ? _body[1] : (byte)0;

    public override void Number(ushort number)
    {
        _number = number;
        framing.Number(_frame, number);
    }

    public override Examined Examine(ReadOnlySpan<byte> received)
    {
        if (received.IsEmpty)
            return new Examined(Verdict.More, 0);
        var examined = framing.Examine(received, request, unit, _number, _body, out var length);
        if (examined.Verdict == Verdict.Reply)
            _bodyLength = length;
        return examined;
    }
}
