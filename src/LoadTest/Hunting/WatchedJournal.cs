using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>The journal with the watch on it; tells of each entry once it is appended.</summary>
internal sealed class WatchedJournal(IJournal journal, Watch watch, Action<JournalEntry> appended) : IJournal
{
    public long Acknowledged => journal.Acknowledged;

    public Task<string> Lost => journal.Lost;

    public long Append(JournalEntry entry)
    {
        var number = journal.Append(entry);
        watch.Appended(number, entry);
        appended(entry);
        return number;
    }

    public Task SyncAsync(long number) => journal.SyncAsync(number);
}
