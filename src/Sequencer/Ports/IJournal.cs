using LoadTest.Sequencer.Journal;

namespace LoadTest.Sequencer.Ports;

/// <summary>The append-only journal of a run; it must succeed, or the run ends.</summary>
public interface IJournal
{
    /// <summary>Appends an entry and returns its number, from 0; on the pump only. Not yet durable.</summary>
    /// <remarks>Once storage is lost the entry is only kept in memory, for whoever can save it elsewhere.</remarks>
    long Append(JournalEntry entry);

    /// <summary>Completes on the pump once everything up to and including this entry is durable.</summary>
    /// <exception cref="IOException">Storage is in trouble; the handle is never used again.</exception>
    Task SyncAsync(long number);

    /// <summary>Completes on the pump once storage is lost, with what happened in words; never while all is well.</summary>
    Task<string> Lost { get; }

    /// <summary>Longest time an entry has waited until it was durable; zero where nobody measures it.</summary>
    TimeSpan Exposure => TimeSpan.Zero;

    /// <summary>Number of the last entry known durable; −1 before the first.</summary>
    long Acknowledged { get; }
}
