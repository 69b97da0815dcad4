using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Running;

/// <summary>A contactor that did not open: no run on its bench passes the gate until a person says, by name, that it was put right.</summary>
internal static class StuckContactors
{
    private const string Code = "STUCK";

    /// <summary>What has to be cleared before the next run on a bench: the last run that found an element still on, unless a later one passed the gate.</summary>
    /// <param name="store">Folder of all runs.</param>
    /// <param name="bench">Name of the bench.</param>
    /// <returns>The question for the gate; null when there is nothing to clear.</returns>
    /// <exception cref="IOException">The store cannot be read.</exception>
    public static Caution? Uncleared(string store, string bench)
    {
        foreach (var path in RunStore.Latest(store))
        {
            var journal = JournalContents.Read(Path.Combine(path, "journal"));
            if (InterruptedRuns.BenchOf(journal) != bench)
                continue;
            var opened = (RunOpened)journal.Entries[0];
            if (Found(journal) is { } found)
                return new Caution(
                    $"contactor cleared after run {opened.RunId}",
                    $"Run {opened.RunId}, begun {opened.StartedUtc.UtcDateTime:yyyy-MM-dd HH:mm} UTC on this bench, found: {found} Its contactor was looked at with the engine locked out, put right and tried. Is that so?"
                );
            if (journal.Entries.Any(e => e is GatePassed { Half: 1 }))
                return null;
        }
        return null;
    }

    private static string? Found(JournalContents journal)
    {
        var refused = journal.Entries.OfType<RunClosed>().LastOrDefault(c => c.Code == Code)?.Detail;
        return journal.Entries.OfType<Tripped>().FirstOrDefault(t => t.Code == Code)?.Detail ?? refused;
    }
}
