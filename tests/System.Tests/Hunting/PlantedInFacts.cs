using LoadTest.Hunting;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Hunting;

/// <summary>Untrue words about load off, put between engine and journal.</summary>
internal static class PlantedInFacts
{
    /// <summary>Readings from before the removal are quoted as read since.</summary>
    public static readonly Planted OldReadings = new()
    {
        Journal = (journal, _) =>
            new Changed(
                journal,
                e =>
                    e is OffJudged off
                        ? off with
                        {
                            Facts = off.Facts with
                            {
                                Readings = [.. off.Facts.Readings.Select(r => r with { At = off.At })],
                            },
                        }
                        : e
            ),
    };

    /// <summary>An end that is not confirmed says nothing of it.</summary>
    public static readonly Planted Silence = new()
    {
        Journal = (journal, _) =>
            new Changed(journal, e => e is OffJudged { IsConfirmed: false } ? new Remarked(e.At, "nothing to say") : e),
    };

    /// <summary>All-offs that failed are called written too.</summary>
    public static readonly Planted Boast = new()
    {
        Journal = (journal, _) =>
            new Changed(
                journal,
                e =>
                    e is OffJudged off
                        ? off with
                        {
                            Facts = off.Facts with
                            {
                                AllOffs = off.Facts.AllOffs with
                                {
                                    Written = off.Facts.AllOffs.Written + off.Facts.AllOffs.Failed,
                                },
                            },
                        }
                        : e
            ),
    };

    private sealed class Changed(IJournal journal, Func<JournalEntry, JournalEntry> change) : IJournal
    {
        public long Acknowledged => journal.Acknowledged;

        public Task<string> Lost => journal.Lost;

        public long Append(JournalEntry entry) => journal.Append(change(entry));

        public Task SyncAsync(long number) => journal.SyncAsync(number);
    }
}
