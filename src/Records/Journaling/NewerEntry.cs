using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>An entry whose frame is whole and whose kind or format this program does not know: a newer version made it.</summary>
/// <param name="At">When; zero where the entry does not say it in a known way.</param>
/// <param name="What">What is not known, as "kind ..." or "journal format ...".</param>
public sealed record NewerEntry(TimeSpan At, string What) : JournalEntry(At)
{
    /// <summary>One sentence for a person.</summary>
    public override string ToString() =>
        $"The journal was made by a newer version of the program ({What}): open it with that version.";
}
