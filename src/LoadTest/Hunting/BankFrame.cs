using System.Buffers.Binary;

namespace LoadTest.Hunting;

/// <summary>What a frame on its way to the bank asks for, read by the letter of the Modbus specification and by nothing of ours.</summary>
/// <param name="Elements">Elements a write of coils asks for, bit k = element k; null when it writes no element.</param>
/// <param name="ReadsContacts">Whether it reads auxiliary contacts.</param>
/// <remarks>MODBUS application protocol V1.1b3, 6.2, 6.5, 6.11; the map is that of simulator/README.md: element coils and contacts from 0.</remarks>
internal readonly record struct BankFrame(uint? Elements, bool ReadsContacts)
{
    private const int TcpHeader = 7;

    /// <summary>Reads a frame.</summary>
    /// <param name="frame">The frame, as sent.</param>
    /// <param name="isTcp">Framing.</param>
    /// <param name="elements">How many elements the bank has.</param>
    public static BankFrame Of(ReadOnlySpan<byte> frame, bool isTcp, int elements)
    {
        var pdu = isTcp ? frame[TcpHeader..] : frame[1..^2];
        var address = BinaryPrimitives.ReadUInt16BigEndian(pdu[1..]);
        return pdu[0] switch
        {
            2 => new BankFrame(null, address < elements),
            5 when address < elements => new BankFrame(pdu[3] == 0xFF ? 1u << address : 0, false),
            15 when address < elements => new BankFrame(Written(pdu[6..]) << address & All(elements), false),
            _ => default,
        };
    }

    private static uint All(int elements) => uint.MaxValue >> (32 - elements);

    private static uint Written(ReadOnlySpan<byte> bytes)
    {
        var mask = 0u;
        for (var k = 0; k < Math.Min(bytes.Length, 4); k++)
            mask |= (uint)bytes[k] << 8 * k;
        return mask;
    }
}
