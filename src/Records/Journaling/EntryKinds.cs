using System.Collections.Frozen;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>Every kind of entry this program can write and read, each told once.</summary>
/// <remarks>
/// A kind, once released, keeps its word and its properties: a change takes a new word, and the old one is read for ever.
/// </remarks>
internal static class EntryKinds
{
    private static readonly EntryKind[] s_all = [.. RunKinds.All, .. BankKinds.All, .. PeopleKinds.All];

    private static readonly FrozenDictionary<string, EntryKind> s_byWord = s_all.ToFrozenDictionary(
        k => k.Word,
        StringComparer.Ordinal
    );

    private static readonly FrozenDictionary<Type, EntryKind> s_byType = s_all.ToFrozenDictionary(k => k.Type);

    /// <summary>The kind of an entry.</summary>
    /// <exception cref="ArgumentException">It has none: it cannot be written.</exception>
    public static EntryKind Of(JournalEntry entry) =>
        s_byType.TryGetValue(entry.GetType(), out var kind)
            ? kind
            : throw new ArgumentException($"No journal words for {entry.GetType().Name}.", nameof(entry));

    /// <summary>The kind with this word; null when this program knows none.</summary>
    public static EntryKind? Named(string word) => s_byWord.GetValueOrDefault(word);
}
