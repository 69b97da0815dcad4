using System.Collections.Immutable;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Verifying;

/// <summary>The first answer of <c>verify</c>: whether the bytes of the journal hold.</summary>
/// <param name="Frames">Frames that can be trusted.</param>
/// <param name="Head">Hash of the last of them, lower-case hexadecimal.</param>
/// <param name="IsClosed">Whether the journal says how the run ended.</param>
/// <param name="Bad">The first bad frame; null when there is none.</param>
/// <param name="Broken">The first breach of each law that is broken.</param>
/// <remarks>A chain can be made by whoever can write the file: until there are signatures, this tells accidents and clumsy changes.</remarks>
public sealed record BytesAnswer(
    long Frames,
    string Head,
    bool IsClosed,
    BadFrame? Bad,
    ImmutableArray<LawBreach> Broken
)
{
    /// <summary>Whether every frame is whole, the last one closes the run, and no law is broken.</summary>
    public bool Hold => Bad is null && IsClosed && Broken.IsEmpty;

    /// <summary>Checks a journal that was read.</summary>
    public static BytesAnswer Of(JournalContents journal)
    {
        ArgumentNullException.ThrowIfNull(journal);
        return new BytesAnswer(
            journal.Entries.Length,
            journal.Head,
            journal.IsClosed,
            journal.Bad,
            JournalLaws.Broken(journal.Entries)
        );
    }

    /// <summary>What is wrong, a sentence each; none when the bytes hold.</summary>
    public IEnumerable<string> Trouble
    {
        get
        {
            if (Bad is not null)
                yield return Bad.ToString();
            else if (!IsClosed)
                yield return $"The journal ends after {Frames} frames without saying how the run ended: it was interrupted, or cut.";
            foreach (var breach in Broken)
                yield return breach.ToString();
        }
    }
}
