using System.Collections.Immutable;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records.Verifying;

/// <summary>The first answer of <c>verify</c>: whether the bytes of the journal hold.</summary>
/// <param name="Frames">Frames that can be trusted.</param>
/// <param name="Head">Hash of the last of them, lower-case hexadecimal.</param>
/// <param name="IsClosed">Whether the journal says how the run ended.</param>
/// <param name="Bad">The first bad frame; null when there is none.</param>
/// <param name="Newer">The first entry of a newer version; null when every entry is known. It is no bad frame, and the laws are held as far as it.</param>
/// <param name="Broken">The first breach of each law that is broken.</param>
/// <remarks>A chain can be made by whoever can write the file: until there are signatures, this tells accidents and clumsy changes.</remarks>
public sealed record BytesAnswer(
    long Frames,
    string Head,
    bool IsClosed,
    BadFrame? Bad,
    NewerEntry? Newer,
    ImmutableArray<LawBreach> Broken
)
{
    /// <summary>Whether every frame is whole and known, the last one closes the run, and no law is broken.</summary>
    public bool Hold => Bad is null && Newer is null && IsClosed && Broken.IsEmpty;

    /// <summary>Checks a journal that was read.</summary>
    /// <param name="journal">What was read.</param>
    /// <param name="plan">Its plan where it is known; null to work it out again from the files the journal embeds.</param>
    public static BytesAnswer Of(JournalContents journal, RunPlan? plan = null)
    {
        ArgumentNullException.ThrowIfNull(journal);
        return new BytesAnswer(
            journal.Entries.Length,
            journal.Head,
            journal.IsClosed,
            journal.Bad,
            journal.Newer,
            JournalLaws.Broken([.. journal.Entries.TakeWhile(e => e is not NewerEntry)], plan ?? Plan(journal))
        );
    }

    // Good frames may embed impossible files: then the laws that need a plan are held without one.
    private static RunPlan? Plan(JournalContents journal)
    {
        try
        {
            return RecordBuilder.Plan(journal, []);
        }
        catch (Exception e) when (e is ArgumentException or ArithmeticException or InvalidOperationException)
        {
            return null;
        }
    }

    /// <summary>What is wrong, a sentence each; none when the bytes hold.</summary>
    public IEnumerable<string> Trouble
    {
        get
        {
            if (Bad is not null)
                yield return Bad.ToString();
            else if (Newer is not null)
                yield return $"The frames hold, and what they say is not all known here. {Newer}";
            else if (!IsClosed)
                yield return $"The journal ends after {Frames} frames without saying how the run ended: it was interrupted, or cut.";
            foreach (var breach in Broken)
                yield return breach.ToString();
        }
    }
}
