using System.Collections.Immutable;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>The trusted entries of a journal, and how the reading of it ended.</summary>
/// <param name="Entries">Entries of every frame before the first bad one.</param>
/// <param name="Head">Hash of the last trusted frame, lower-case hexadecimal.</param>
/// <param name="Bad">The first bad frame; null when every byte belongs to a good one.</param>
public sealed record JournalContents(ImmutableArray<JournalEntry> Entries, string Head, BadFrame? Bad)
{
    /// <summary>Whether the last entry closes the run; a journal without it was interrupted or cut.</summary>
    public bool IsClosed => !Entries.IsEmpty && Entries[^1] is RunClosed;

    /// <summary>Format the first entry names; 0 when none could be read.</summary>
    public int Format { get; init; }

    /// <summary>The first entry this program does not know, though its frame is whole; null when it knows all.</summary>
    public NewerEntry? Newer => Entries.OfType<NewerEntry>().FirstOrDefault();

    /// <summary>Why nothing can be said of the run, a sentence, where the first entry does not open one.</summary>
    public string WhyUnknown => Bad?.ToString() ?? Newer?.ToString() ?? "The journal is empty.";

    /// <summary>Reads all of a stream.</summary>
    public static JournalContents Read(Stream stream)
    {
        var reader = new JournalReader(stream);
        var entries = ImmutableArray.CreateBuilder<JournalEntry>();
        while (reader.Next(out var entry))
            entries.Add(entry);
        return new JournalContents(entries.DrainToImmutable(), reader.Head, reader.Bad) { Format = reader.Format };
    }

    /// <summary>Reads a file.</summary>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static JournalContents Read(string path)
    {
        using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 65536);
        return Read(stream);
    }
}
