using System.Buffers.Binary;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>A Modbus device of the tests' own: every register holds its own address, so a value tells which request it answers.</summary>
/// <remarks>Its codec shares nothing with the product's. The CRC is computed bit by bit from MODBUS over serial line V1.02, 6.2.2.</remarks>
internal sealed class OwnAddressDevice(TimeProvider time, bool isTcp, byte unit, bool isAscii = false)
{
    private readonly List<ITimer> _timers = [];
    private long _free;

    public Action<ReadOnlyMemory<byte>>? Answer { get; set; }

    public TimeSpan Delay { get; set; } = TimeSpan.FromMilliseconds(5);

    /// <summary>What becomes of the next replies; when empty they are given as they are.</summary>
    public Queue<Mishap> Mishaps { get; } = new();

    /// <summary>Exception codes for the next requests; 0 for none.</summary>
    public Queue<byte> Exceptions { get; } = new();

    public bool[] Coils { get; } = new bool[64];

    public ushort[] Holding { get; } = new ushort[64];

    public bool IgnoresWrites { get; set; }

    /// <summary>Every request as it came, function and address first, with its time.</summary>
    public List<(long At, byte[] Pdu)> Requests { get; } = [];

    public void Receive(ReadOnlySpan<byte> bytes)
    {
        if (isAscii)
            bytes = AsciiDigits.Unwrapped(bytes);
        var pdu = isTcp ? bytes[7..].ToArray() : bytes[1..^2].ToArray();
        Assert.Equal(unit, isTcp ? bytes[6] : bytes[0]);
        if (!isTcp)
            Assert.Equal(Crc(bytes[..^2]), (ushort)(bytes[^2] | bytes[^1] << 8));
        Requests.Add((time.GetTimestamp(), pdu));
        var mishap = Mishaps.Count > 0 ? Mishaps.Dequeue() : Mishap.None;
        var reply = Frame(bytes, Body(pdu));
        mishap.Give(this, reply);
    }

    /// <summary>Sends bytes after a while, never before bytes sent earlier: wires and devices keep the order.</summary>
    public void Later(TimeSpan delay, byte[] bytes)
    {
        var now = time.GetTimestamp();
        _free = Math.Max(_free, now + delay.Ticks);
        _timers.Add(
            time.CreateTimer(
                _ => Answer?.Invoke(bytes),
                null,
                TimeSpan.FromTicks(_free - now),
                Timeout.InfiniteTimeSpan
            )
        );
    }

    public static ushort Crc(ReadOnlySpan<byte> bytes)
    {
        var crc = 0xFFFFu;
        foreach (var b in bytes)
        {
            crc ^= b;
            for (var k = 0; k < 8; k++)
                crc = (crc & 1) != 0 ? crc >> 1 ^ 0xA001 : crc >> 1;
        }
        return (ushort)crc;
    }

    private byte[] Body(byte[] pdu)
    {
        var code = Exceptions.Count > 0 ? Exceptions.Dequeue() : (byte)0;
        if (code != 0)
            return [(byte)(pdu[0] | 0x80), code];
        if (pdu[0] == 43)
            return Identification.TryGetValue(pdu[3], out var objects) ? [43, 14, pdu[2], .. objects] : [171, 1];
        int start = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(1));
        int count = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(3));
        switch (pdu[0])
        {
            case 1 or 2:
                return [pdu[0], (byte)((count + 7) / 8), .. Bits(start, count)];
            case 3:
                return [3, (byte)(2 * count), .. Words(start, count, a => Holding[a])];
            case 4:
                return [4, (byte)(2 * count), .. Words(start, count, a => (ushort)a)];
            case 5:
                Store(() => Coils[start] = pdu[3] == 0xFF);
                return pdu;
            case 6:
                Store(() => Holding[start] = (ushort)count);
                return pdu;
            case 15:
                for (var k = 0; k < count; k++)
                    Store(() => Coils[start + k] = (pdu[6 + k / 8] >> k % 8 & 1) == 1);
                return pdu[..5];
            case 16:
                for (var k = 0; k < count; k++)
                    Store(() => Holding[start + k] = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(6 + 2 * k)));
                return pdu[..5];
            case 22:
                var or = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(5));
                Store(() => Holding[start] = (ushort)(Holding[start] & count | or & ~count));
                return pdu;
            case 23:
                var first = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(5));
                for (var k = 0; k < pdu[9] / 2; k++)
                    Store(() => Holding[first + k] = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(10 + 2 * k)));
                return [23, (byte)(2 * count), .. Words(start, count, a => Holding[a])];
            default:
                return [(byte)(pdu[0] | 0x80), 1];
        }
    }

    /// <summary>What follows the level in the answer to function 43 kind 14, by the object asked from.</summary>
    public Dictionary<byte, byte[]> Identification { get; } = [];

    private void Store(Action write)
    {
        if (!IgnoresWrites)
            write();
    }

    private byte[] Bits(int start, int count)
    {
        var bytes = new byte[(count + 7) / 8];
        for (var k = 0; k < count; k++)
        {
            if (Coils[start + k])
                bytes[k / 8] |= (byte)(1 << k % 8);
        }
        return bytes;
    }

    private static byte[] Words(int start, int count, Func<int, ushort> word)
    {
        var bytes = new byte[2 * count];
        for (var k = 0; k < count; k++)
            BinaryPrimitives.WriteUInt16BigEndian(bytes.AsSpan(2 * k), word(start + k));
        return bytes;
    }

    private byte[] Frame(ReadOnlySpan<byte> request, byte[] body)
    {
        if (isTcp)
            return [request[0], request[1], 0, 0, 0, (byte)(body.Length + 1), unit, .. body];
        byte[] bare = [unit, .. body];
        if (isAscii)
            return AsciiDigits.Wrapped(bare);
        var crc = Crc(bare);
        return [.. bare, (byte)(crc & 0xFF), (byte)(crc >> 8)];
    }
}
