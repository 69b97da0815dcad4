namespace LoadTest.Simulator.Banks;

/// <summary>Checksum of an RTU frame: polynomial A001 hex (reflected), start FFFF, low byte sent first.</summary>
/// <remarks>MODBUS over serial line V1.02, 6.2.2. The bytes 02 07 give 1241 hex, sent 41 12.</remarks>
internal static class Crc16
{
    private static readonly ushort[] Table = MakeTable();

    public static ushort Of(ReadOnlySpan<byte> bytes)
    {
        ushort crc = 0xFFFF;
        foreach (var b in bytes)
        {
            crc = (ushort)(crc >> 8 ^ Table[(crc ^ b) & 0xFF]);
        }

        return crc;
    }

    private static ushort[] MakeTable()
    {
        var table = new ushort[256];
        for (var i = 0; i < table.Length; i++)
        {
            var value = i;
            for (var bit = 0; bit < 8; bit++)
            {
                value = (value & 1) != 0 ? value >> 1 ^ 0xA001 : value >> 1;
            }

            table[i] = (ushort)value;
        }

        return table;
    }
}
