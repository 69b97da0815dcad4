using System.Text.Json;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>One kind of entry: its word in the journal, how it is written, how it is read.</summary>
/// <param name="word">The word, part of the file format for ever.</param>
internal abstract class EntryKind(string word)
{
    /// <summary>The word.</summary>
    public string Word { get; } = word;

    /// <summary>The word, ready to be written.</summary>
    public JsonEncodedText Encoded { get; } = JsonEncodedText.Encode(word);

    /// <summary>Type of the entries of this kind.</summary>
    public abstract Type Type { get; }

    /// <summary>Writes the properties behind "kind" and "at".</summary>
    public abstract void Write(Utf8JsonWriter json, JournalEntry entry);

    /// <summary>Reads them again, in the same order.</summary>
    public abstract JournalEntry Read(TimeSpan at, ref EntryFields fields);
}

/// <summary>A kind with the type of its entries.</summary>
/// <typeparam name="T">Type of the entries.</typeparam>
/// <param name="word">The word.</param>
/// <param name="write">Writes the properties behind "kind" and "at".</param>
/// <param name="read">Reads them again, in the same order.</param>
internal sealed class EntryKind<T>(string word, Action<Utf8JsonWriter, T> write, EntryKind<T>.Reader read)
    : EntryKind(word)
    where T : JournalEntry
{
    /// <summary>Reads what stands behind "kind" and "at".</summary>
    public delegate T Reader(TimeSpan at, ref EntryFields fields);

    /// <inheritdoc/>
    public override Type Type => typeof(T);

    /// <inheritdoc/>
    public override void Write(Utf8JsonWriter json, JournalEntry entry) => write(json, (T)entry);

    /// <inheritdoc/>
    public override JournalEntry Read(TimeSpan at, ref EntryFields fields) => read(at, ref fields);
}
