using System.Buffers.Binary;
using System.Text;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>Finds whole frames in bytes whose beginning is unknown; what it finds is trusted by its checksum alone.</summary>
internal static class FrameScan
{
    private static readonly byte[] s_start = Encoding.UTF8.GetBytes("{\"kind\":\"");

    /// <summary>Every frame that lies in these bytes with length, checksum and payload in order: where, how long, what.</summary>
    public static IEnumerable<(int At, int Length, JournalEntry Entry)> Whole(byte[] bytes)
    {
        for (var at = 0; Next(bytes, at) is { } found; at = found + 1)
        {
            if (At(bytes, found, out var length) is { } entry)
                yield return (found, length, entry);
        }
    }

    // Where the next header may stand: before the words every payload begins with.
    private static int? Next(byte[] bytes, int from)
    {
        var search = from + JournalFormat.HeaderLength;
        if (search >= bytes.Length)
            return null;
        var at = bytes.AsSpan(search).IndexOf(s_start);
        return at < 0 ? null : from + at;
    }

    private static JournalEntry? At(byte[] bytes, int at, out int length)
    {
        var header = bytes.AsSpan(at, JournalFormat.HeaderLength);
        var claimed = BinaryPrimitives.ReadUInt32LittleEndian(header);
        var room = bytes.Length - at - JournalFormat.HeaderLength - JournalFormat.HashLength;
        length = 0;
        if (claimed > JournalFormat.LongestPayload || claimed > room)
            return null;
        var payload = bytes.AsSpan(at + JournalFormat.HeaderLength, (int)claimed);
        length = JournalFormat.HeaderLength + (int)claimed + JournalFormat.HashLength;
        if (JournalFormat.Checksum(payload) != BinaryPrimitives.ReadUInt32LittleEndian(header[4..]))
            return null;
        try
        {
            return EntryReader.Read(payload);
        }
        catch (FormatException)
        {
            return null;
        }
    }
}
