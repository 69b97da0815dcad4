using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Modbus;

/// <summary>RTU framing: unit, body, CRC with its low byte first; no transaction number.</summary>
/// <remarks>
/// Replies are framed by the length their header gives, not by gaps (a gap is shorter than a host's jitter). A reply is
/// accepted only when unit, function, byte count or repeated address, and CRC fit.
/// </remarks>
internal sealed class RtuFrame : IModbusFraming
{
    public static RtuFrame Instance { get; } = new();

    public byte[] Encode(byte unit, ReadOnlySpan<byte> pdu)
    {
        var frame = new byte[pdu.Length + 3];
        frame[0] = unit;
        pdu.CopyTo(frame.AsSpan(1));
        var crc = Crc16.Of(frame.AsSpan(0, frame.Length - 2));
        frame[^2] = (byte)(crc & 0xFF);
        frame[^1] = (byte)(crc >> 8);
        return frame;
    }

    public void Number(Span<byte> frame, ushort number) { }

    public Examined Examine(
        ReadOnlySpan<byte> received,
        ModbusRequest request,
        byte unit,
        ushort number,
        Span<byte> body,
        out int bodyLength
    )
    {
        bodyLength = 0;
        var length = ReplyLength.Of(received[1..]);
        if (length == ReplyLength.Untold)
            return new(Verdict.More, 0);
        if (length is ReplyLength.Unknown or > Pdu.MostBytes)
            return new(Verdict.Garbage, received.Length);
        var total = length + 3;
        if (received.Length < total)
            return new(Verdict.More, 0);
        var reply = received.Slice(1, length);
        if (!Crc16.Holds(received[..total]))
        {
            var hasOwnHeader = received[0] == unit && reply[0] == request.Function && request.MayBeOf(length);
            return new(hasOwnHeader ? Verdict.Damaged : Verdict.Garbage, received.Length);
        }
        if (received[0] != unit || !(request.IsAnsweredBy(reply) || request.IsRefusedBy(reply)))
            return new(Verdict.Stale, total);
        reply.CopyTo(body);
        bodyLength = length;
        return new(Verdict.Reply, total);
    }

    public string? CheckWords(ReadOnlySpan<byte> received)
    {
        var total = received.IsEmpty ? 0 : ReplyLength.Of(received[1..]) + 3;
        if (total < 5 || received.Length < total || Crc16.Holds(received[..total]))
            return null;
        var found = received[total - 2] | received[total - 1] << 8;
        return $"its CRC is 0x{found:X4} where its bytes give 0x{Crc16.Of(received[..(total - 2)]):X4}";
    }

    public LineRules Rules(TimeSpan turnAround, TimeSpan deadline) =>
        new(HasNumbers: false, turnAround, LateWindow: deadline);
}
