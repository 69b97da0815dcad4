using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>
/// A contactor that did not open, or a bank that was not confirmed off: no run on it passes the gate until a person says, by name,
/// that it was put right.
/// </summary>
internal static class StuckContactors
{
    private const string Code = "STUCK";

    /// <summary>What has to be cleared before the next run on a bench: the last run that found an element still on or the bank not off, unless a later one passed the gate.</summary>
    /// <param name="store">Folder of all runs.</param>
    /// <param name="bench">Name of the bench.</param>
    /// <returns>The question for the gate; null when there is nothing to clear.</returns>
    /// <exception cref="IOException">The store cannot be read.</exception>
    public static Caution? Uncleared(string store, string bench)
    {
        foreach (var path in RunStore.Latest(store))
        {
            var journal = JournalContents.Read(Path.Combine(path, "journal"));
            if (InterruptedRuns.BenchOf(journal) is { } name ? name != bench : journal.Bad is null)
                continue;
            var opened = (RunOpened)journal.Entries[0];
            if (Found(journal) is { } found)
                return new Caution(
                    $"contactor cleared after run {opened.RunId}",
                    $"Run {opened.RunId}, begun {opened.StartedUtc.UtcDateTime:yyyy-MM-dd HH:mm} UTC on this bench, found: {found} The bank and its contactors were looked at with the engine locked out, put right and tried. Is that so?"
                );
            if (journal.Entries.Any(e => e is GatePassed { Half: 1 }))
                return null;
        }
        return null;
    }

    /// <summary>What was found: a contactor by name, or a bank that was not confirmed off at the end, whatever ended the run.</summary>
    private static string? Found(JournalContents journal)
    {
        var closed = journal.Entries.OfType<RunClosed>().LastOrDefault();
        if (journal.Entries.OfType<Tripped>().FirstOrDefault(t => t.Code == Code)?.Detail is { } tripped)
            return tripped;
        if (closed is { Code: Code })
            return closed.Detail;
        if (journal.Bad is not null)
            return "its journal is damaged, so it does not say whether the bank was found off.";
        return closed is { Bank: BankEnd.OffNotConfirmed }
            ? $"load off was not confirmed, {SentenceText.Of(journal.Entries.OfType<LoadOff>().LastOrDefault()?.Words ?? closed.Detail)}"
            : null;
    }
}
