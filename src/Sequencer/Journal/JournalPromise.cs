namespace LoadTest.Sequencer.Journal;

/// <summary>What a run says about how soon its journal is durable.</summary>
public static class JournalPromise
{
    /// <summary>Longest time a reading may wait until it is durable; a run in which one waited longer says so.</summary>
    public static TimeSpan Exposure { get; } = TimeSpan.FromMilliseconds(250);
}
