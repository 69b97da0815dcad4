using System.Buffers.Binary;
using System.Numerics;
using System.Text.Json;

namespace LoadTest.Records.Journaling;

/// <summary>Numbers and checks of the journal's frames; see docs/decisions on the journal's bytes.</summary>
/// <remarks>
/// A frame is length (u32, little-endian) · CRC-32C of the payload (u32, little-endian) · payload (UTF-8 JSON) ·
/// SHA-256(previous hash ‖ payload). The hash before the first frame is 32 zero bytes.
/// </remarks>
internal static class JournalFormat
{
    /// <summary>Format written into the first entry; 1 up to this one are read.</summary>
    public const int Version = 2;

    /// <summary>Nanoseconds in one count of the pump's clock.</summary>
    public const long NanosecondsPerTick = 100;

    /// <summary>Property of the first entry that names the format.</summary>
    public const string FormatName = "journal";

    /// <summary>Form of the wall time of a start, always UTC.</summary>
    public const string WallTime = "yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'";

    /// <summary>Property that names an entry's kind.</summary>
    public static readonly JsonEncodedText Kind = JsonEncodedText.Encode("kind");

    /// <summary>Property that says when.</summary>
    public static readonly JsonEncodedText At = JsonEncodedText.Encode("at");

    /// <summary>Property that holds the readings of a scan.</summary>
    public static readonly JsonEncodedText Readings = JsonEncodedText.Encode("readings");

    /// <summary>Bytes before the payload.</summary>
    public const int HeaderLength = 8;

    /// <summary>Bytes of the hash after the payload.</summary>
    public const int HashLength = 32;

    /// <summary>Longest payload written or accepted, bytes: 4 MiB, so that a damaged length cannot ask for memory.</summary>
    public const int LongestPayload = 4 * 1024 * 1024;

    /// <summary>Magnitude from which a number is no reading but an instrument's word for overload (SCPI-99: 9.9E37).</summary>
    public const double LeastOverload = 1e37;

    /// <summary>Latest time since the opening that is written or accepted: ten years of nanoseconds, far below any overflow.</summary>
    public const long LatestNanoseconds = 10L * 366 * 24 * 3600 * 1_000_000_000;

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
