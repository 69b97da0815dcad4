using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>The Modbus framings: the first byte of an input chooses the request that waits, the rest is what was received.</summary>
/// <remarks>What is accepted is checked again with checks computed here, bit by bit and digit by digit.</remarks>
internal static class FrameDecoders
{
    private const byte Unit = 17;
    private const ushort Number = 0x1501;

    private static readonly ModbusRequest[] Requests =
    [
        ModbusRequest.Read(1, 0x13, 19),
        ModbusRequest.Read(2, 0xC4, 22),
        ModbusRequest.Read(3, 0x6B, 3),
        ModbusRequest.Read(4, 8, 1),
        ModbusRequest.Read(4, 0, 125),
        ModbusRequest.Write(Pdu.WriteCoil(0xAC, true)),
        ModbusRequest.Write(Pdu.WriteRegister(1, 3)),
        ModbusRequest.Write(Pdu.WriteCoils(0x13, 10, 0x1CD)),
        ModbusRequest.Write(Pdu.WriteRegisters(1, [0x000A, 0x0102])),
        ModbusRequest.Write(Pdu.MaskRegister(4, 0x00F2, 0x0025)),
        ModbusRequest.Write(Pdu.ReadAndWriteRegisters(3, 6, 14, [0xFF, 0xFF, 0xFF])),
        ModbusRequest.Identification(1, 0),
    ];

    public static Decoder Rtu { get; } = Make("modbus-rtu", RtuFrame.Instance, WithCrc, IsRtu);

    public static Decoder Tcp { get; } = Make("modbus-tcp", TcpFrame.Instance, WithLength, IsTcp);

    public static Decoder Ascii { get; } = Make("modbus-ascii", AsciiFrame.Instance, WithLrc, IsAscii);

    private static Decoder Make(
        string name,
        IModbusFraming framing,
        Func<byte[], byte[]> mend,
        Func<byte[], bool> isFrame
    )
    {
        var transactions = Requests.Select(r => r.Make(framing, Unit)).ToArray();
        foreach (var transaction in transactions)
            transaction.Number(Number);
        return new Decoder(
            name,
            input => Decode(transactions, input, isFrame),
            input => input.Length < 6 ? input : [input[0], .. mend(input[1..])],
            [.. Requests.Select(r => r.Pdu.ToArray()), [Unit], "\r\n"u8.ToArray(), [0x15, 0x01, 0, 0, 0]],
            4096
        );
    }

    private static int Decode(ModbusTransaction[] transactions, byte[] input, Func<byte[], bool> isFrame)
    {
        if (input.Length == 0)
            return 0;
        var which = input[0] % transactions.Length;
        var received = input.AsSpan(1);
        var examined = transactions[which].Examine(received);
        Laws.Hold(examined, received.Length);
        if (examined.Verdict == Verdict.Reply && !isFrame(received[..examined.Used].ToArray()))
            throw new InvalidOperationException("what was accepted has no sound frame of unit 17");
        var refusal = examined.Verdict == Verdict.Reply ? transactions[which].ExceptionCode : 0;
        return ((int)examined.Verdict * 100 + which) * 1000 + Math.Min(examined.Used, 20) * 20 + refusal % 20;
    }

    private static bool IsRtu(byte[] frame) => frame[0] == Unit && WithCrc(frame).AsSpan().SequenceEqual(frame);

    private static bool IsTcp(byte[] frame) =>
        BinaryPrimitives.ReadUInt16BigEndian(frame) == Number
        && frame[6] == Unit
        && WithLength(frame).AsSpan().SequenceEqual(frame);

    private static bool IsAscii(byte[] frame) =>
        Encoding.ASCII.GetString(frame, 1, 2) == "11" && WithLrc(frame).Length == frame.Length && SumOf(frame) == 0;

    private static int SumOf(byte[] frame)
    {
        var sum = 0;
        for (var k = 1; k + 1 < frame.Length - 2; k += 2)
            sum += int.Parse(frame.AsSpan(k, 2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture);
        return sum % 256;
    }

    private static byte[] WithCrc(byte[] frame)
    {
        var crc = 0xFFFFu;
        foreach (var b in frame.AsSpan(0, frame.Length - 2))
        {
            crc ^= b;
            for (var k = 0; k < 8; k++)
                crc = (crc & 1) != 0 ? crc >> 1 ^ 0xA001 : crc >> 1;
        }
        return [.. frame[..^2], (byte)(crc & 0xFF), (byte)(crc >> 8)];
    }

    private static byte[] WithLength(byte[] frame)
    {
        if (frame.Length < 7)
            return frame;
        var mended = (byte[])frame.Clone();
        BinaryPrimitives.WriteUInt16BigEndian(mended, Number);
        BinaryPrimitives.WriteUInt16BigEndian(mended.AsSpan(2), 0);
        BinaryPrimitives.WriteUInt16BigEndian(mended.AsSpan(4), (ushort)(mended.Length - 6));
        return mended;
    }

    private static byte[] WithLrc(byte[] frame)
    {
        // Whatever is between colon and end of line becomes digits, so that most of what is made gets past them.
        if (frame.Length < 9)
            return frame;
        var mended = (byte[])frame.Clone();
        var sum = 0;
        mended[0] = (byte)':';
        var digits = (mended.Length - 5) / 2 * 2;
        for (var k = 1; k <= digits; k++)
        {
            if (!char.IsAsciiHexDigit((char)mended[k]))
                mended[k] = (byte)"0123456789ABCDEF"[mended[k] & 15];
        }
        for (var k = 1; k < digits; k += 2)
            sum += int.Parse(mended.AsSpan(k, 2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture);
        return [.. mended[..(digits + 1)], .. Encoding.ASCII.GetBytes($"{(256 - sum % 256) % 256:X2}\r\n")];
    }
}
