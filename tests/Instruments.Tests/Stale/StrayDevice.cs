using System.Buffers.Binary;
using System.Text;
using LoadTest.InstrumentsTests.Fuzzing;

namespace LoadTest.InstrumentsTests.Stale;

/// <summary>How a device is wired.</summary>
internal enum Wiring
{
    /// <summary>RTU on a serial line.</summary>
    Rtu,

    /// <summary>RTU through a gateway, whose stream is cut anywhere.</summary>
    RtuOverTcp,

    /// <summary>Modbus TCP.</summary>
    Tcp,

    /// <summary>ASCII on a serial line.</summary>
    Ascii,
}

/// <summary>A device whose input register n holds n, and which loses, holds back or doubles some of its replies.</summary>
/// <remarks>Its codec is its own. On a line without transaction numbers a second copy comes before the turn-around silence is over.</remarks>
/// <param name="wiring">How it is wired.</param>
/// <param name="deadline">The client's; what is held back comes after it.</param>
/// <param name="perMille">How many of a thousand replies go astray.</param>
/// <param name="seed">Seed.</param>
internal sealed class StrayDevice(Wiring wiring, TimeSpan deadline, int perMille, ulong seed)
{
    public const byte Unit = 17;

    private static readonly TimeSpan Usual = TimeSpan.FromMilliseconds(1);
    private readonly Mutation _chance = new(seed, []);

    public long Requests { get; private set; }

    public long Dropped { get; private set; }

    public long Late { get; private set; }

    public long Doubled { get; private set; }

    /// <summary>Bytes to send and when, counted from the request, and whether a whole reply is there with them.</summary>
    public IEnumerable<(TimeSpan After, byte[] Bytes, bool IsWhole)> Answer(byte[] request)
    {
        Requests++;
        var reply = Reply(request);
        if (_chance.Below(1000) >= perMille)
            return wiring == Wiring.RtuOverTcp ? Cut(reply) : [(Usual, reply, true)];
        switch (_chance.Below(3))
        {
            case 0:
                Dropped++;
                return [];
            case 1:
                Late++;
                // Mostly a little late; sometimes so late that nobody waits for it any more.
                var by = deadline * (_chance.Below(10) == 0 ? 1 + _chance.Below(10) : 1);
                return [(by + TimeSpan.FromMilliseconds(1 + _chance.Below(100)), reply, true)];
            default:
                Doubled++;
                if (wiring != Wiring.Tcp)
                    return [(Usual, [.. reply, .. reply], true)];
                return [(Usual, reply, true), (Usual + TimeSpan.FromMilliseconds(_chance.Below(100)), reply, true)];
        }
    }

    private (TimeSpan, byte[], bool)[] Cut(byte[] reply)
    {
        var at = 1 + _chance.Below(reply.Length - 1);
        return [(Usual, reply[..at], false), (2 * Usual, reply[at..], true)];
    }

    private byte[] Reply(byte[] request)
    {
        var pdu = wiring switch
        {
            Wiring.Tcp => request[7..],
            Wiring.Ascii => Convert.FromHexString(Encoding.ASCII.GetString(request, 3, request.Length - 7)),
            _ => request[1..^2],
        };
        var start = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(1));
        var count = BinaryPrimitives.ReadUInt16BigEndian(pdu.AsSpan(3));
        var body = new byte[2 + 2 * count];
        (body[0], body[1]) = (pdu[0], (byte)(2 * count));
        for (var k = 0; k < count; k++)
            BinaryPrimitives.WriteUInt16BigEndian(body.AsSpan(2 + 2 * k), (ushort)(start + k));
        byte[] bare = [Unit, .. body];
        return wiring switch
        {
            Wiring.Tcp => [.. request[..4], 0, (byte)bare.Length, .. bare],
            Wiring.Ascii => Encoding.ASCII.GetBytes(
                $":{Convert.ToHexString(bare)}{(256 - bare.Sum(b => b) % 256) % 256:X2}\r\n"
            ),
            _ => [.. bare, .. Crc(bare)],
        };
    }

    private static byte[] Crc(byte[] bytes)
    {
        var crc = 0xFFFFu;
        foreach (var b in bytes)
        {
            crc ^= b;
            for (var k = 0; k < 8; k++)
                crc = (crc & 1) != 0 ? crc >> 1 ^ 0xA001 : crc >> 1;
        }
        return [(byte)(crc & 0xFF), (byte)(crc >> 8)];
    }
}
