using System.CommandLine;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>The verb <c>report</c>: record, report, pictures and table of readings again, from the journal alone.</summary>
internal static class ReportCommand
{
    /// <summary>Most that is read of what memory kept, bytes: hours of a run.</summary>
    private const int LongestRest = 64 * 1024 * 1024;

    public static Command Create()
    {
        var run = CommonOptions.Run();
        var rest = new Option<string?>("--rest")
        {
            Description = "What memory kept when the journal's storage was lost; put back first.",
            HelpName = "FILE",
        };
        return Verb.Create(
            "report",
            "Makes a run's report, pictures and table of readings again from its journal. A record that is there is left alone, and where it says something else, that is said.",
            "loadtest report runs/demo-1",
            [run, rest],
            (parsed, screen) => Write(screen, parsed.GetRequiredValue(run), parsed.GetValue(rest))
        );
    }

    private static ExitCode Write(Screen screen, string path, string? rest)
    {
        using var folder = InputFiles.Guarded(() => RunFolder.Open(path, needsJournal: rest is null));
        if (rest is not null)
            PutBack(folder, rest);
        var (record, kept) = RunDocuments.Write(folder, keepsRecord: true);
        if (record.Bad is { } bad)
            screen.Trouble($"{bad} The report covers what comes before it.");
        Results.Show(screen, record, folder);
        screen.Document["record differs"] = kept is not null;
        if (kept is not null)
            screen.Trouble(RunDocuments.Said(kept));
        var exit = Results.Exit(record);
        return kept is not null && exit == ExitCode.Pass ? ExitCode.NotPassed : exit;
    }

    private static void PutBack(RunFolder folder, string rest)
    {
        var bytes = InputFiles.Guarded(() => RegularFile.Whole(rest, LongestRest));
        try
        {
            JournalRepair.PutBack(folder.Journal, bytes);
        }
        catch (FormatException trouble)
        {
            throw new CommandEnded(ExitCode.BadInput, $"{rest}: {SentenceText.Of(trouble)}");
        }
    }
}
