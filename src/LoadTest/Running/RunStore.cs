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
        if (!Directory.Exists(root))
            return null;
        var latest = Directory
            .GetDirectories(root)
            .Select(path => (Path: path, Opened: Opened(path)))
            .Where(r => r.Opened is not null)
            .OrderBy(r => r.Opened!.StartedUtc)
            .ThenBy(r => r.Path, StringComparer.Ordinal)
            .LastOrDefault();
        if (latest.Opened is null)
            return null;
        var journal = JournalContents.Read(Path.Combine(latest.Path, "journal"));
        return new PreviousRun(latest.Opened.RunId, journal.Head);
    }

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
