using System.Text.Json;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>JSON to journal entries: exactly the properties the writer writes, in its order, and nothing after.</summary>
internal static class EntryReader
{
    /// <summary>Reads one payload of a format this program knows.</summary>
    /// <returns>The entry; a <see cref="NewerEntry"/> when its kind is none this program knows.</returns>
    /// <exception cref="FormatException">The payload is not what the writer writes, or not JSON at all.</exception>
    public static JournalEntry Read(ReadOnlySpan<byte> payload)
    {
        try
        {
            var fields = new EntryFields(payload);
            var word = fields.Text("kind");
            var at = fields.Time("at");
            if (EntryKinds.Named(word) is not { } kind)
            {
                fields.Skip();
                return new NewerEntry(at, $"kind \"{word}\"");
            }
            var entry = kind.Read(at, ref fields);
            fields.End();
            return entry;
        }
        catch (Exception e) when (e is JsonException or OverflowException or InvalidOperationException)
        {
            throw new FormatException(e.Message, e);
        }
    }

    /// <summary>The format a first entry names; null when it does not begin as first entries do in every format.</summary>
    public static int? Format(ReadOnlySpan<byte> payload)
    {
        try
        {
            var fields = new EntryFields(payload);
            return fields.Text("kind") == RunKinds.Opened && fields.Time("at") >= TimeSpan.Zero
                ? fields.Integer(JournalFormat.FormatName)
                : null;
        }
        catch (Exception e)
            when (e is JsonException or OverflowException or InvalidOperationException or FormatException)
        {
            return null;
        }
    }
}
