using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Running;

/// <summary>What memory kept of a journal whose storage was lost, written elsewhere if anything takes it.</summary>
internal static class RestFile
{
    /// <summary>Writes it where there is room: home, the machine's temporary folder, the run's own folder.</summary>
    /// <param name="closed">How the run ended.</param>
    /// <param name="journal">The journal, its storage lost.</param>
    /// <param name="folder">The run's folder.</param>
    /// <returns>What became of run, journal and rest, for a person.</returns>
    public static string Save(RunClosed closed, JournalWriter journal, RunFolder folder)
    {
        var bank = closed.Bank switch
        {
            BankEnd.NeverEnergised => "the bank was never energised",
            BankEnd.Off => "the bank was read off and the current gone",
            _ =>
                "LOAD OFF NOT CONFIRMED: switch the weld output off, stop the engine with its own switch, stay clear; do not pull a lead or plug",
        };
        var name = $"{Path.GetFileName(folder.Path)}.journal-rest";
        var count = journal.Count - 1 - journal.Acknowledged;
        string? saved = null;
        foreach (var place in Folders(folder))
            saved ??= TrySave(Path.Combine(place, name), journal.Rest.Span);
        var rest = saved is null
            ? $"The {count} entries after them could not be written anywhere else and are lost."
            : $"The {count} entries after them are in {saved}. With space again, `loadtest report {folder.Path} --rest {saved}` puts them back; do it before the next run on this bench.";
        return $"{closed.Outcome.ToString().ToUpperInvariant()}({closed.Code}): {bank}. {journal.Trouble} {rest}";
    }

    private static IEnumerable<string> Folders(RunFolder folder) =>
        new[]
        {
            Environment.GetFolderPath(Environment.SpecialFolder.UserProfile),
            Path.GetTempPath(),
            folder.Path,
        }.Where(f => f.Length > 0);

    private static string? TrySave(string path, ReadOnlySpan<byte> rest)
    {
        try
        {
            RunFolder.WriteWhole(path, rest);
            return path;
        }
        catch (Exception full) when (full is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
