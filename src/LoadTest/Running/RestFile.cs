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
            _ => "LOAD OFF NOT CONFIRMED",
        };
        var count = journal.Count - 1 - journal.Acknowledged;
        string? saved = null;
        foreach (var place in Folders(folder.Path))
            saved ??= TrySave(Path.Combine(place, Name(folder.Path)), journal.Rest.Span);
        var what = journal.IsRestWhole ? "Every entry of the run is" : $"The {count} entries after them are";
        var rest = saved is null
            ? $"{what} lost: nothing else took them."
            : $"{what} in {saved}. The next start on this bench puts that back; `loadtest report {folder.Path} --rest {saved}` does so now.";
        // What a person has to do stands last.
        var now = closed.Bank == BankEnd.OffNotConfirmed ? $" {OffWords.Instruction}" : "";
        return $"{closed.Outcome.ToString().ToUpperInvariant()}({closed.Code}): {bank}. {journal.Trouble} {rest}{now}";
    }

    /// <summary>Where such files of a run are, written by whoever owns its folder.</summary>
    public static IEnumerable<string> Of(string run)
    {
        var owner = FileStatus.Of(run)?.Owner;
        return Folders(run)
            .Select(place => Path.Combine(place, Name(run)))
            .Where(path =>
                File.Exists(path)
                && (
                    FileStatus.Of(path, followsLink: false) is not { } found
                    || (found.IsRegular && found.Owner == owner)
                )
            );
    }

    private static string Name(string run) => $"{Path.GetFileName(run)}.journal-rest";

    private static IEnumerable<string> Folders(string run) =>
        new[] { Environment.GetFolderPath(Environment.SpecialFolder.UserProfile), Path.GetTempPath(), run }.Where(f =>
            f.Length > 0
        );

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
