using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records.Verifying;

/// <summary>A law every journal keeps, whoever wrote it and whatever went wrong in the run.</summary>
/// <param name="Name">What it demands.</param>
/// <param name="Check">The frames that break it, with what was found; none when it is kept.</param>
internal sealed record JournalLaw(
    string Name,
    Func<IReadOnlyList<JournalEntry>, RunPlan?, IEnumerable<(int Frame, string Found)>> Check
);
