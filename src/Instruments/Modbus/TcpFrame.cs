using System.Buffers.Binary;
using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Modbus;

/// <summary>TCP framing: transaction number, protocol 0, length, unit, body.</summary>
/// <remarks>MODBUS Messaging on TCP/IP V1.0b, 3.1.3. Number 0 is kept for urgent frames, whose answers nobody awaits.</remarks>
internal sealed class TcpFrame : IModbusFraming
{
    private const int HeaderBytes = 7;

    public static TcpFrame Instance { get; } = new();

    public byte[] Encode(byte unit, ReadOnlySpan<byte> pdu)
    {
        var frame = new byte[HeaderBytes + pdu.Length];
        BinaryPrimitives.WriteUInt16BigEndian(frame.AsSpan(4), (ushort)(pdu.Length + 1));
        frame[6] = unit;
        pdu.CopyTo(frame.AsSpan(HeaderBytes));
        return frame;
    }

    public void Number(Span<byte> frame, ushort number) => BinaryPrimitives.WriteUInt16BigEndian(frame, number);

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
        var total = FrameBytes(received);
        if (total <= 0)
            return total == 0 ? new(Verdict.More, 0) : new(Verdict.Garbage, received.Length);
        if (received.Length < total)
            return new(Verdict.More, 0);
        var replyNumber = BinaryPrimitives.ReadUInt16BigEndian(received);
        if (replyNumber != number)
            return new(replyNumber == 0 ? Verdict.Urgent : Verdict.Stale, total);
        var reply = received[HeaderBytes..total];
        if (received[6] != unit || !(request.IsAnsweredBy(reply) || request.IsRefusedBy(reply)))
            return new(Verdict.Garbage, received.Length);
        reply.CopyTo(body);
        bodyLength = reply.Length;
        return new(Verdict.Reply, total);
    }

    public string? CheckWords(ReadOnlySpan<byte> received) => null;

    public LineRules Rules(TimeSpan turnAround, TimeSpan deadline) =>
        new(HasNumbers: true, turnAround, LateWindow: TimeSpan.Zero, WholeFrames);

    /// <summary>How many bytes from the front are whole frames; −1 when the front is no frame.</summary>
    internal static int WholeFrames(ReadOnlySpan<byte> received)
    {
        var whole = 0;
        while (true)
        {
            var total = FrameBytes(received[whole..]);
            if (total < 0)
                return -1;
            if (total == 0 || received.Length - whole < total)
                return whole;
            whole += total;
        }
    }

    /// <summary>Length of the frame at the front; 0 when too little of it is here, −1 when it is no frame.</summary>
    private static int FrameBytes(ReadOnlySpan<byte> received)
    {
        if (received.Length < 6)
            return 0;
        var length = BinaryPrimitives.ReadUInt16BigEndian(received[4..]);
        var isFrame = received[2] == 0 && received[3] == 0 && length is >= 3 and <= Pdu.MostBytes + 1;
        return isFrame ? 6 + length : -1;
    }
}
