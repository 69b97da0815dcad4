using System.Buffers.Binary;
using System.Numerics;

namespace LoadTest.Records.Journaling;

/// <summary>Numbers and checks of the journal's frames; see docs/decisions on the journal's bytes.</summary>
/// <remarks>
/// A frame is length (u32, little-endian) · CRC-32C of the payload (u32, little-endian) · payload (UTF-8 JSON) ·
/// SHA-256(previous hash ‖ payload). The hash before the first frame is 32 zero bytes.
/// </remarks>
internal static class JournalFormat
{
    /// <summary>Version written into the first entry.</summary>
    public const int Version = 1;

    /// <summary>Bytes before the payload.</summary>
    public const int HeaderLength = 8;

    /// <summary>Bytes of the hash after the payload.</summary>
    public const int HashLength = 32;

    /// <summary>Longest payload written or accepted, bytes: 4 MiB, so that a damaged length cannot ask for memory.</summary>
    public const int LongestPayload = 4 * 1024 * 1024;

    /// <summary>CRC-32C (Castagnoli) of some bytes, initial value and final exclusive-or all ones.</summary>
    /// <remarks>RFC 3720, B.4 (from memory): 32 bytes of zero give 0x8A9136AA, "123456789" gives 0xE3069283.</remarks>
    public static uint Checksum(ReadOnlySpan<byte> bytes)
    {
        var crc = uint.MaxValue;
        var whole = bytes.Length / sizeof(ulong) * sizeof(ulong);
        for (var i = 0; i < whole; i += sizeof(ulong))
            crc = BitOperations.Crc32C(crc, BinaryPrimitives.ReadUInt64LittleEndian(bytes[i..]));
        foreach (var b in bytes[whole..])
            crc = BitOperations.Crc32C(crc, b);
        return ~crc;
    }
}
