using System.Text.Json;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>Journal entries to JSON: one object each, properties always in the same order.</summary>
/// <remarks>
/// Times are integer nanoseconds since the run was opened. Numbers are the shortest that read back to the same double.
/// A reading is <c>[channel, value, time]</c> when good, otherwise <c>[channel, null, time, "what it is worth"]</c>.
/// </remarks>
internal static class EntryWriter
{
    /// <summary>Writes one entry.</summary>
    /// <exception cref="ArgumentException">A number in it is no finite reading, a time lies before the opening, or an enum value has no name.</exception>
    public static void Write(Utf8JsonWriter json, JournalEntry entry)
    {
        var kind = EntryKinds.Of(entry);
        json.WriteStartObject();
        json.WriteString(JournalFormat.Kind, kind.Encoded);
        json.WriteNumber(JournalFormat.At, EntryJson.Nanoseconds(entry.At));
        kind.Write(json, entry);
        json.WriteEndObject();
    }
}
