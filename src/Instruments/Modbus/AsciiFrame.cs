using System.Buffers;
using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Modbus;

/// <summary>ASCII framing: colon, unit and body in hexadecimal digits, a longitudinal check, carriage return and line feed.</summary>
/// <remarks>
/// MODBUS over serial line V1.02, 2.5.2. The check is the two's complement of the sum of all bytes, without carry: the request
/// <c>01 01 00 13 00 13</c> has D8. There is no transaction number, so the rules of RTU hold.
/// </remarks>
internal sealed class AsciiFrame : IModbusFraming
{
    /// <summary>Longest frame: colon, 2 × 254 digits and those of the check, end of line.</summary>
    public const int MostBytes = 1 + 2 * (Pdu.MostBytes + 2) + 2;

    private const int LeastBytes = 1 + 2 * 4 + 2;

    public static AsciiFrame Instance { get; } = new();

    public byte[] Encode(byte unit, ReadOnlySpan<byte> pdu)
    {
        var frame = new byte[1 + 2 * (pdu.Length + 2) + 2];
        frame[0] = (byte)':';
        Write(frame.AsSpan(1), unit);
        uint sum = unit;
        for (var k = 0; k < pdu.Length; k++)
        {
            Write(frame.AsSpan(3 + 2 * k), pdu[k]);
            sum += pdu[k];
        }
        Write(frame.AsSpan(frame.Length - 4), Check(sum));
        frame[^2] = (byte)'\r';
        frame[^1] = (byte)'\n';
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
        if (received[0] != ':')
            return new(Verdict.Garbage, received.Length);
        var end = received[..Math.Min(received.Length, MostBytes)].IndexOf((byte)'\n');
        if (end < 0)
            return received.Length >= MostBytes ? new(Verdict.Garbage, received.Length) : new(Verdict.More, 0);
        var total = end + 1;
        Span<byte> bytes = stackalloc byte[Pdu.MostBytes + 2];
        if (Decode(received[..total], bytes) is not ({ } count, var isSound))
            return new(Verdict.Garbage, received.Length);
        var reply = bytes[1..(count - 1)];
        if (!isSound)
        {
            var hasOwnHeader = bytes[0] == unit && reply[0] == request.Function && request.MayBeOf(reply.Length);
            return new(hasOwnHeader ? Verdict.Damaged : Verdict.Garbage, received.Length);
        }
        if (bytes[0] != unit || !(request.IsAnsweredBy(reply) || request.IsRefusedBy(reply)))
            return new(Verdict.Stale, total);
        reply.CopyTo(body);
        bodyLength = reply.Length;
        return new(Verdict.Reply, total);
    }

    public string? CheckWords(ReadOnlySpan<byte> received)
    {
        Span<byte> bytes = stackalloc byte[Pdu.MostBytes + 2];
        var end = received.IndexOf((byte)'\n');
        if (end < 0 || Decode(received[..(end + 1)], bytes) is not ({ } count, false))
            return null;
        uint sum = 0;
        foreach (var b in bytes[..(count - 1)])
            sum += b;
        return $"its LRC is 0x{bytes[count - 1]:X2} where its bytes give 0x{Check(sum):X2}";
    }

    public LineRules Rules(TimeSpan turnAround, TimeSpan deadline) =>
        new(HasNumbers: false, turnAround, LateWindow: deadline);

    /// <summary>Takes a whole frame apart: unit, body and check, as bytes.</summary>
    /// <returns>How many bytes, null when it is no whole frame; and whether the check is right.</returns>
    internal static (int? Count, bool IsSound) Decode(ReadOnlySpan<byte> frame, Span<byte> bytes)
    {
        if (
            frame.Length is < LeastBytes or > MostBytes
            || frame[0] != ':'
            || !frame.EndsWith("\r\n"u8)
            || Convert.FromHexString(frame[1..^2], bytes, out _, out var count) != OperationStatus.Done
        )
            return (null, false);
        uint sum = 0;
        foreach (var b in bytes[..count])
            sum += b;
        return (count, (sum & 0xFF) == 0);
    }

    /// <summary>The check of a sum: what brings it to zero, in one byte.</summary>
    internal static byte Check(uint sum) => (byte)((0x100 - (sum & 0xFF)) & 0xFF);

    private static void Write(Span<byte> at, byte value)
    {
        at[0] = Digit(value >> 4);
        at[1] = Digit(value & 15);
    }

    private static byte Digit(int value) => (byte)(value < 10 ? '0' + value : 'A' + value - 10);
}
