using System.Collections.Immutable;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Reports;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>Runs whose program ended without closing them: closed at the next start on their bench, once its load was dealt with.</summary>
/// <param name="Bench">Name of the bench that is being started.</param>
/// <param name="Off">What became of its load.</param>
/// <param name="Now">Wall time.</param>
internal sealed record InterruptedRuns(string Bench, FirstOff Off, DateTimeOffset Now)
{
    private const string Code = "CRASH";

    /// <summary>Closes every such run of this bench, and of any bench where nothing was ever to be switched on; makes documents that are missing.</summary>
    /// <param name="store">Folder of all runs.</param>
    /// <returns>A sentence for each, also for those that could not be closed.</returns>
    public ImmutableArray<string> Close(string store)
    {
        var words = ImmutableArray.CreateBuilder<string>();
        if (!Directory.Exists(store))
            return [];
        foreach (var path in Directory.GetDirectories(store).Order(StringComparer.Ordinal))
        {
            try
            {
                if (IsUnfinished(path) && Finish(path) is { } said)
                    words.Add(said);
            }
            catch (Exception trouble)
                when (trouble
                        is IOException
                            or UnauthorizedAccessException
                            or ArgumentException
                            or ArithmeticException
                            or InvalidOperationException
                )
            {
                words.Add($"The run in {path} was interrupted and could not be closed: {SentenceText.Of(trouble)}");
            }
        }
        return words.DrainToImmutable();
    }

    // A program may also end between the last entry and the last document.
    private static bool IsUnfinished(string path)
    {
        bool Has(string name) => File.Exists(Path.Combine(path, name));
        return !Has("journal")
            ? RestFile.Of(path).Any()
            : !(
                Has("record.json")
                && Has("report.html")
                && Has("readings.csv")
                && JournalRepair.EndsClosed(Path.Combine(path, "journal"))
            );
    }

    private string? Finish(string path)
    {
        using var folder = RunFolder.Hold(path);
        if (folder is null)
            return null;
        if (PutBackSaved(folder) is { } saved)
            return saved;
        if (!File.Exists(folder.Journal))
            return null;
        if (JournalRepair.EndsClosed(folder.Journal))
        {
            var (late, _) = RunDocuments.Write(folder, keepsRecord: true);
            return $"Run {late.Opened.RunId} had ended without its report; it is in {folder.Path} now.";
        }
        var before = JournalContents.Read(folder.Journal);
        if (before.Entries.FirstOrDefault() is not RunOpened opened)
            return null;
        if (IsEverOn(before) && BenchOf(before) != Bench)
            return $"Run {opened.RunId} on another bench, {BenchOf(before) ?? "one its journal does not name"}, was interrupted. It is closed at the next start on that bench.";
        var repaired = JournalRepair.Close(folder.Journal, Closing);
        if (!repaired.IsMended)
            return repaired.Journal.Newer is { } newer
                ? $"Run {opened.RunId} was interrupted and is left as it is. {newer}"
                : $"Run {opened.RunId} was interrupted and its journal is damaged, so it was left as it is. {repaired.Journal.Bad}";
        RunDocuments.Write(folder, keepsRecord: false);
        return $"Run {opened.RunId} was interrupted {ReportNumber.Time(before.Entries[^1].At)} after its start. {Gap(before)} It is closed as interrupted now, with its report in {folder.Path}.";
    }

    /// <summary>A run whose storage was lost ended as memory saved it elsewhere, and not in a crash.</summary>
    private static string? PutBackSaved(RunFolder folder)
    {
        if (File.Exists(folder.Journal) && JournalRepair.EndsClosed(folder.Journal))
            return null;
        foreach (var path in RestFile.Of(folder.Path))
        {
            try
            {
                if (JournalRepair.PutBack(folder.Journal, File.ReadAllBytes(path)) is not { IsClosed: true } whole)
                    continue;
                RunDocuments.Write(folder, keepsRecord: false);
                var closed = (RunClosed)whole.Entries[^1];
                return $"Run {((RunOpened)whole.Entries[0]).RunId} had lost its storage. What memory had saved in {path} is back in its journal, and it is closed as it ended: {closed.Outcome.ToString().ToLowerInvariant()} ({closed.Code}). Its report is in {folder.Path}.";
            }
            catch (FormatException)
            {
                // Of another journal, or of one that went on otherwise: it stays where it is.
            }
        }
        return null;
    }

    private ImmutableArray<JournalEntry> Closing(JournalContents journal, long tornBytes)
    {
        // Nobody knows the monotonic time any more: what is appended stands at the last one known, and says the gap in words.
        var at = journal.Entries[^1].At;
        var torn =
            tornBytes > 0 ? $" {tornBytes} bytes of a torn end were cut off the journal and are kept beside it." : "";
        var found = new Remarked(
            at,
            $"The program ended here without closing the run. {Gap(journal)} What follows was written at the next start.{torn}"
        );
        if (!IsEverOn(journal))
            return
            [
                found,
                new RunClosed(
                    at,
                    Outcome.Interrupted,
                    Code,
                    "The program ended without closing the run; nothing had been switched on.",
                    BankEnd.NeverEnergised
                ),
            ];
        return
        [
            found,
            new LoadRemoved(at, new RemovalCause(Code, "All-off was sent at the next start, before anything else.")),
            new StatesRead(at, Off.States),
            new OffJudged(at, Off.IsConfirmed, Off.Facts.After(at)),
            new RunClosed(
                at,
                Outcome.Interrupted,
                Code,
                $"The program ended without closing the run. {Gap(journal)} All-off was then sent: {SentenceText.Of(Off.Detail)}",
                Off.IsConfirmed ? BankEnd.Off : BankEnd.OffNotConfirmed
            ),
        ];
    }

    private string Gap(JournalContents journal)
    {
        var gap = Now - (((RunOpened)journal.Entries[0]).StartedUtc + journal.Entries[^1].At);
        return gap >= TimeSpan.Zero
            ? $"Nobody watched the bench for {ReportNumber.Duration(gap)} by the clock, until {Now.UtcDateTime:yyyy-MM-dd HH:mm:ss} UTC."
            : $"How long nobody watched the bench is not known: the clock, now {Now.UtcDateTime:yyyy-MM-dd HH:mm:ss} UTC, went back.";
    }

    // Nothing is switched on before the gate is durable; behind it a torn end may have held the intent.
    private static bool IsEverOn(JournalContents journal) =>
        (journal.Bad is not null && journal.Entries.Any(e => e is GatePassed))
        || journal.Entries.Any(e => e is SwitchIntended { Elements.IsEmpty: false } or OutputIntended { IsOn: true });

    /// <summary>Name of the bench a journal embeds; null when it names none that can be read.</summary>
    internal static string? BenchOf(JournalContents journal)
    {
        var files = journal.Entries.OfType<FileEmbedded>().ToArray();
        return files.FirstOrDefault(f => f.Role == FileRole.Bench) is { } bench
            ? BenchReader
                .Read(
                    bench.Name,
                    bench.Bytes.AsMemory(),
                    name => files.FirstOrDefault(f => f.Role == FileRole.Definition && f.Name == name)?.Bytes.AsMemory()
                )
                .Value?.Name
            : null;
    }
}
