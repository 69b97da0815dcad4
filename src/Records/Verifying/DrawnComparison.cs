using System.Collections.Immutable;
using System.Text.Json;
using LoadTest.Records.Writing;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Verifying;

/// <summary>Holds the files of a run's folder against what this build draws; knows nothing of drawing.</summary>
public static class DrawnComparison
{
    private const int Longest = 256 * 1024 * 1024;

    /// <summary>Version of the build that made a record; null when the bytes do not say.</summary>
    public static string? VersionOf(byte[] record)
    {
        try
        {
            using var document = JsonDocument.Parse(record);
            return
                document.RootElement.ValueKind == JsonValueKind.Object
                && document.RootElement.TryGetProperty(RecordJson.VersionName, out var version)
                && version.ValueKind == JsonValueKind.String
                ? version.GetString()
                : null;
        }
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            return null;
        }
    }

    /// <summary>Every file that is drawn, and every picture that lies there and is not.</summary>
    /// <exception cref="IOException">A file cannot be read.</exception>
    public static ImmutableArray<DrawnAgain> Of(RunFolder folder, IReadOnlyList<DrawnFile> drawn)
    {
        ArgumentNullException.ThrowIfNull(folder);
        ArgumentNullException.ThrowIfNull(drawn);
        var others = Directory.Exists(folder.Plots)
            ? Directory
                .EnumerateFiles(folder.Plots)
                .Select(p => $"{Path.GetFileName(folder.Plots)}/{Path.GetFileName(p)}")
                .Except(drawn.Select(d => d.Name), StringComparer.Ordinal)
                .Order(StringComparer.Ordinal)
            : Enumerable.Empty<string>();
        return
        [
            .. drawn.Select(d => Of(d, Stored(Path.Combine(folder.Path, d.Name)))),
            .. others.Select(o => new DrawnAgain(o, Drawn.Cannot, ["this build draws no such picture"])),
        ];
    }

    /// <summary>One answer for all: different if any is, else cannot if any cannot.</summary>
    public static Drawn Together(IReadOnlyList<DrawnAgain> files) =>
        files.Any(f => f.Answer == Drawn.Differs) ? Drawn.Differs
        : files.Count == 0 || files.Any(f => f.Answer == Drawn.Cannot) ? Drawn.Cannot
        : Drawn.Same;

    /// <summary>One file; null for none.</summary>
    public static DrawnAgain Of(DrawnFile drawn, byte[]? stored)
    {
        ArgumentNullException.ThrowIfNull(drawn);
        if (stored is null)
            return new DrawnAgain(
                drawn.Name,
                Drawn.Cannot,
                ["it is not there, or longer than any is; the command \"report\" makes it again"]
            );
        if (stored.AsSpan().SequenceEqual(drawn.Bytes))
            return new DrawnAgain(drawn.Name, Drawn.Same, []);
        return new DrawnAgain(
            drawn.Name,
            Drawn.Differs,
            drawn.Name == RunFolder.RecordName ? Values(stored, drawn.Bytes) : [Place(stored, drawn.Bytes)]
        );
    }

    // Where a record differs is told value by value; a machine may have other last digits, and that is told too.
    private static ImmutableArray<string> Values(byte[] stored, byte[] drawn)
    {
        try
        {
            using var found = JsonDocument.Parse(stored);
            using var again = JsonDocument.Parse(drawn);
            var differences = ValueComparison.Of(found.RootElement, again.RootElement);
            return differences.IsEmpty
                ? ["every value agrees to 1 part in 10⁸; last digits, order or layout do not"]
                : differences;
        }
        // A string that is no UTF-8 is only noticed when it is read.
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            return [$"it is not JSON: {SentenceText.Clause(e)}"];
        }
    }

    private static string Place(byte[] stored, byte[] drawn)
    {
        var at = stored.AsSpan().CommonPrefixLength(drawn);
        var line = 1 + stored.AsSpan(0, at).Count((byte)'\n');
        return $"line {line} (byte {at}) is the first that differs; {stored.Length} bytes lie there, {drawn.Length} are drawn";
    }

    /// <summary>The bytes that lie there; null where there are none, or more than any such file has.</summary>
    /// <exception cref="IOException">They cannot be read.</exception>
    public static byte[]? Stored(string path) =>
        new FileInfo(path) is { Exists: true, Length: <= Longest } ? RegularFile.Whole(path, (int)Longest) : null;
}
