using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Killing;

/// <summary>The sets of elements a bank was told to close, cut out of the bytes that reached it.</summary>
internal static class BankWrites
{
    private const int Header = 7;
    private const int BeforeLength = 4;

    /// <summary>Function 15, address 0, eight coils: MODBUS application protocol V1.1b3, 6.11; frames by their length field, messaging on TCP/IP V1.0b, 3.1.3.</summary>
    public static IEnumerable<uint> Of(IEnumerable<Passed> passed)
    {
        var stream = new List<byte>();
        foreach (var chunk in passed.Where(p => p is { IsIn: true, Device: "bank-1" }))
            stream.AddRange(chunk.Bytes);
        for (var at = 0; at + Header < stream.Count; )
        {
            var length = BeforeLength + 2 + ((stream[at + BeforeLength] << 8) | stream[at + BeforeLength + 1]);
            if (at + length > stream.Count)
                yield break;
            if (stream[at + Header] == 0x0F && stream[at + Header + 1] == 0 && stream[at + Header + 2] == 0)
                yield return stream[at + Header + 6];
            at += length;
        }
    }
}
