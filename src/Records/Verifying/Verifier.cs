using System.Collections.Immutable;
using System.Text.Json;
using LoadTest.Records.Journaling;
using LoadTest.Records.Writing;

namespace LoadTest.Records.Verifying;

/// <summary>Checks a run's journal frame by frame and draws its record again to compare; needs the files and nothing else.</summary>
public static class Verifier
{
    private const int LongestRecord = 64 * 1024 * 1024;

    /// <summary>Checks the files of a folder.</summary>
    /// <exception cref="IOException">A file cannot be read.</exception>
    public static Verification Verify(RunFolder folder)
    {
        ArgumentNullException.ThrowIfNull(folder);
        var journal = JournalContents.Read(folder.Journal);
        var record =
            File.Exists(folder.Record) && new FileInfo(folder.Record).Length <= LongestRecord
                ? File.ReadAllBytes(folder.Record)
                : null;
        return Verify(journal, record, static j => RecordJson.Write(RunRecord.Of(j)));
    }

    /// <summary>Checks a journal that was read, and the bytes of a record.</summary>
    internal static Verification Verify(JournalContents journal, byte[]? record, Func<JournalContents, byte[]> conclude)
    {
        Verification Found(RecordState state, params ImmutableArray<string> differences) =>
            new(journal.Entries.Length, journal.Head, journal.IsClosed, journal.Bad, state, differences);

        if (journal.Bad is not null || journal.Entries.IsEmpty)
            return Found(RecordState.NotCompared);
        if (journal.Newer is { } newer)
            return Found(RecordState.NotDrawn, newer.ToString());
        if (record is null)
            return Found(RecordState.Unreadable, "Make it again with the command \"report\".");
        byte[] expected;
        try
        {
            expected = conclude(journal);
        }
        catch (Exception e) when (e is ArgumentException or ArithmeticException or InvalidOperationException)
        {
            // Good frames may still say impossible things: whoever can write the file can chain them.
            return Found(RecordState.NotDrawn, e.Message);
        }
        if (expected.AsSpan().SequenceEqual(record))
            return Found(RecordState.Same);
        return Compare(record, expected, out var differences) switch
        {
            null => Found(RecordState.Unreadable, differences),
            { } state => Found(state, differences),
        };
    }

    private static RecordState? Compare(byte[] stored, byte[] expected, out ImmutableArray<string> differences)
    {
        try
        {
            using var found = JsonDocument.Parse(stored);
            using var drawn = JsonDocument.Parse(expected);
            differences = ValueComparison.Of(found.RootElement, drawn.RootElement);
            var isOtherVersion = VersionOf(found.RootElement) is { } version && version != VersionOf(drawn.RootElement);
            if (differences.IsEmpty && !isOtherVersion)
                differences = ["the values agree, but the bytes were changed"];
            return isOtherVersion && differences.IsEmpty ? RecordState.SameValues : RecordState.Different;
        }
        // A string that is no UTF-8 is only noticed when it is read.
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            differences = [$"record.json is not JSON: {e.Message}"];
            return null;
        }
    }

    private static string? VersionOf(JsonElement record) =>
        record.ValueKind == JsonValueKind.Object
        && record.TryGetProperty("version", out var version)
        && version.ValueKind == JsonValueKind.String
            ? version.GetString()
            : null;
}
