using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Running;

/// <summary>The folder that holds the folders of all runs.</summary>
internal static class RunStore
{
    private const int LongestId = 60;

    /// <summary>The latest run here that nobody is writing any more; null when there is none.</summary>
    public static PreviousRun? Previous(string root)
    {
        if (Latest(root).FirstOrDefault() is not { } latest)
            return null;
        var journal = JournalContents.Read(Path.Combine(latest, "journal"));
        return new PreviousRun(((RunOpened)journal.Entries[0]).RunId, journal.Head);
    }

    /// <summary>Folders of the runs here that nobody is writing any more, the latest first.</summary>
    public static IEnumerable<string> Latest(string root) =>
        Directory.Exists(root)
            ? Directory
                .GetDirectories(root)
                .Select(path => (Path: path, Opened: Opened(path)))
                .Where(r => r.Opened is not null)
                .OrderByDescending(r => r.Opened!.StartedUtc)
                .ThenByDescending(r => r.Path, StringComparer.Ordinal)
                .Select(r => r.Path)
            : [];

    /// <summary>An id no run here has yet: the wish itself, or with a number behind it.</summary>
    public static string FreeId(string root, string wish)
    {
        var plain = new string([
            .. wish.Take(LongestId).Select(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' ? c : '-'),
        ]);
        var id = plain;
        for (var number = 2; Directory.Exists(Path.Combine(root, id)); number++)
            id = $"{plain}-{number}";
        return id;
    }

    private static RunOpened? Opened(string path)
    {
        try
        {
            using var folder = RunFolder.Open(path);
            using var stream = File.OpenRead(folder.Journal);
            return new JournalReader(stream).Next(out var entry) ? entry as RunOpened : null;
        }
        catch (IOException)
        {
            // No run, or one that is still being written: not a predecessor.
            return null;
        }
    }
}
