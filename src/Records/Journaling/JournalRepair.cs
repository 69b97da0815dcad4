using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Security.Cryptography;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>What a repair found and did.</summary>
/// <param name="Journal">The journal as it is now.</param>
/// <param name="TornBytes">Bytes of a torn end that were cut off.</param>
/// <param name="IsMended">Whether the journal is whole and closed now; false when it is damaged in its middle, or made by a newer version, and was left alone.</param>
public sealed record RepairedJournal(JournalContents Journal, long TornBytes, bool IsMended);

/// <summary>Closes a journal whose writer is gone: cuts a torn end off and appends what is known since.</summary>
/// <remarks>
/// Only what can have been waiting for a sync is cut off. Frames wait at most <see cref="JournalWriter.LongestWait"/>, so whole
/// frames behind a bad one that lie further apart than that show damage to what was durable: then not one byte is changed.
/// Breaking off at any moment and beginning again loses nothing that was acknowledged.
/// </remarks>
public static class JournalRepair
{
    private const int LongestClosing = 64 * 1024;
    private static readonly TimeSpan MostUnsynced = JournalWriter.LongestWait + JournalWriter.LongestExposure;

    /// <summary>Whether a journal's end says how its run ended; reads that end alone, and trusts no more than its checksum.</summary>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static bool EndsClosed(string path)
    {
        using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 0);
        var end = new byte[Math.Min(file.Length, LongestClosing)];
        file.Seek(-end.Length, SeekOrigin.End);
        file.ReadExactly(end);
        foreach (var (at, length, entry) in FrameScan.Whole(end))
        {
            if (entry is RunClosed && at + length == end.Length)
                return true;
        }
        return false;
    }

    /// <summary>Mends and closes a journal; one that is closed already stays as it is.</summary>
    /// <param name="path">The file; nobody else may be writing it. A torn end is kept beside it, never thrown away.</param>
    /// <param name="closing">What to append, given what can be trusted; "run closed" last. Told how many bytes were torn.</param>
    /// <exception cref="IOException">It cannot be read or written.</exception>
    public static RepairedJournal Close(string path, Func<JournalContents, long, ImmutableArray<JournalEntry>> closing)
    {
        using var file = new FileStream(path, FileMode.Open, FileAccess.ReadWrite, FileShare.Read, bufferSize: 0);
        return Close(file, () => file.Flush(flushToDisk: true), torn => KeepBeside(path, torn), closing);
    }

    /// <summary>The same on any stream; tests hand in a disk that loses its power.</summary>
    /// <param name="file">The journal.</param>
    /// <param name="makeDurable">Returns once what was written cannot be lost.</param>
    /// <param name="keep">Takes the torn end before it is cut off.</param>
    /// <param name="closing">What to append.</param>
    internal static RepairedJournal Close(
        Stream file,
        Action makeDurable,
        Action<byte[]> keep,
        Func<JournalContents, long, ImmutableArray<JournalEntry>> closing
    )
    {
        file.Position = 0;
        var journal = JournalContents.Read(file);
        if (journal.Bad is null && journal.IsClosed)
            return new RepairedJournal(journal, 0, IsMended: true);
        var torn = journal.Bad is { } bad ? From(file, bad.Offset) : [];
        // What a newer version began it closes itself: nobody here can tell what it still means to write.
        if (journal.Entries.IsEmpty || journal.IsClosed || journal.Newer is not null || IsDamage(torn))
            return new RepairedJournal(journal, 0, IsMended: false);
        if (torn.Length > 0)
            keep(torn);
        var frames = Frames(journal, closing(journal, torn.Length));
        return new RepairedJournal(
            GoOn(file, file.Length - torn.Length, frames, makeDurable),
            torn.Length,
            IsMended: true
        );
    }

    /// <summary>Puts back what memory kept when storage was lost: the journal then goes on, frame by frame, to its last entry.</summary>
    /// <param name="path">The journal, still without an end; made where it was taken away.</param>
    /// <param name="rest">Bytes of every frame after the last acknowledged one, or of every frame.</param>
    /// <returns>The journal as it is now.</returns>
    /// <exception cref="FormatException">The bytes do not go on from any frame of this journal, or it was closed otherwise since.</exception>
    /// <exception cref="IOException">It cannot be read or written.</exception>
    public static JournalContents PutBack(string path, byte[] rest)
    {
        ArgumentNullException.ThrowIfNull(rest);
        using var file = new FileStream(
            path,
            FileMode.OpenOrCreate,
            FileAccess.ReadWrite,
            FileShare.Read,
            bufferSize: 0
        );
        return PutBack(file, () => file.Flush(flushToDisk: true), rest);
    }

    /// <summary>The same on any stream.</summary>
    internal static JournalContents PutBack(Stream file, Action makeDurable, byte[] rest)
    {
        var (offset, trusted) = Continuation(file, rest);
        var known = From(file, offset)[..(int)(trusted - offset)];
        return rest.AsSpan().StartsWith(known)
            ? GoOn(file, offset, rest, makeDurable)
            : throw new FormatException(
                "The journal was gone on with otherwise since; what memory kept stays a file of its own."
            );
    }

    // The cut on its own, or a second power cut could mix what was cut off with what comes now.
    private static JournalContents GoOn(Stream file, long from, byte[] frames, Action makeDurable)
    {
        if (file.Length > from)
        {
            file.SetLength(from);
            makeDurable();
        }
        file.Position = from;
        file.Write(frames);
        makeDurable();
        file.Position = 0;
        return JournalContents.Read(file);
    }

    /// <summary>Where in the journal the first frame of these bytes follows, and where what can be trusted ends.</summary>
    private static (long Offset, long Trusted) Continuation(Stream file, byte[] rest)
    {
        var reader = new JournalReader(file);
        long? offset = Follows(reader.Head, rest) ? 0 : null;
        while (reader.Next(out _))
        {
            if (Follows(reader.Head, rest))
                offset = reader.Length;
        }
        return offset is { } found
            ? (found, reader.Length)
            : throw new FormatException(
                "These bytes do not go on from any frame of this journal. Give the file that was written when its storage was lost."
            );
    }

    private static bool Follows(string head, byte[] rest)
    {
        if (rest.Length < JournalFormat.HeaderLength + JournalFormat.HashLength)
            return false;
        var length = BinaryPrimitives.ReadUInt32LittleEndian(rest);
        if (length > rest.Length - JournalFormat.HeaderLength - JournalFormat.HashLength)
            return false;
        var frame = rest.AsSpan(JournalFormat.HeaderLength, (int)length + JournalFormat.HashLength);
        return SHA256
            .HashData([.. Convert.FromHexString(head), .. frame[..(int)length]])
            .AsSpan()
            .SequenceEqual(frame[(int)length..]);
    }

    // A run never opened has nothing to close; one closed with something behind it was tampered with.
    private static bool IsDamage(byte[] tail)
    {
        TimeSpan? first = null;
        foreach (var (_, _, entry) in FrameScan.Whole(tail))
        {
            first ??= entry.At;
            if (entry.At - first.Value > MostUnsynced)
                return true;
        }
        return false;
    }

    private static byte[] Frames(JournalContents journal, ImmutableArray<JournalEntry> entries)
    {
        using var frames = new FrameWriter(journal.Head, journal.Entries.Length);
        using var bytes = new MemoryStream();
        foreach (var entry in entries)
            bytes.Write(frames.Next(entry));
        return bytes.ToArray();
    }

    private static byte[] From(Stream file, long offset)
    {
        var bytes = new byte[file.Length - offset];
        file.Position = offset;
        file.ReadExactly(bytes);
        return bytes;
    }

    private static void KeepBeside(string path, byte[] torn)
    {
        var beside = path + ".torn";
        for (var number = 2; File.Exists(beside); number++)
            beside = $"{path}.torn-{number}";
        RunFolder.WriteWhole(beside, torn);
    }
}
