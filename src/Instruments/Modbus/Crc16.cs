namespace LoadTest.Instruments.Modbus;

/// <summary>The check value of an RTU frame.</summary>
/// <remarks>
/// CRC-16 with the reflected polynomial A001, start FFFF, no final inversion, sent low byte first (MODBUS over
/// serial line V1.02, 6.2.2). <c>02 07</c> has 1241, sent <c>41 12</c>; the ASCII digits 1 to 9 have 4B37.
/// </remarks>
internal static class Crc16
{
    private static readonly ushort[] Table = MakeTable();

    /// <summary>Check value of some bytes, low byte first on the wire.</summary>
    public static ushort Of(ReadOnlySpan<byte> bytes)
    {
        uint crc = 0xFFFF;
        foreach (var b in bytes)
            crc = (crc >> 8) ^ Table[(crc ^ b) & 0xFF];
        return (ushort)crc;
    }

    /// <summary>Whether a frame ends with the check value of what stands before it.</summary>
    public static bool Holds(ReadOnlySpan<byte> frame)
    {
        if (frame.Length < 3)
            return false;
        var crc = Of(frame[..^2]);
        return frame[^2] == (crc & 0xFF) && frame[^1] == crc >> 8;
    }

    private static ushort[] MakeTable()
    {
        var table = new ushort[256];
        for (var k = 0; k < 256; k++)
        {
            var crc = (uint)k;
            for (var bit = 0; bit < 8; bit++)
                crc = (crc & 1) == 1 ? (crc >> 1) ^ 0xA001 : crc >> 1;
            table[k] = (ushort)crc;
        }
        return table;
    }
}
