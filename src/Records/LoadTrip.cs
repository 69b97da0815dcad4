using LoadTest.Sequencer.Journal;

namespace LoadTest.Records;

/// <summary>How far the removal of the load came after a trip.</summary>
public enum TripRemoval
{
    /// <summary>All-off was asked for, and no open line is known to have taken it.</summary>
    Asked,

    /// <summary>An open line took the whole frame; the load was not found off.</summary>
    Written,

    /// <summary>The load was found off.</summary>
    Confirmed,
}

/// <summary>A trip, and what came of the removal.</summary>
/// <param name="At">When the limit was crossed, since the run was opened.</param>
/// <param name="Removal">How far it came.</param>
public readonly record struct LoadTrip(TimeSpan At, TripRemoval Removal)
{
    /// <summary>Every trip of a journal.</summary>
    internal static IEnumerable<LoadTrip> Of(IReadOnlyList<JournalEntry> entries)
    {
        for (var k = 0; k < entries.Count; k++)
        {
            if (entries[k] is Tripped tripped)
                yield return new LoadTrip(tripped.At, After(entries.Skip(k).OfType<LoadOff>()));
        }
    }

    private static TripRemoval After(IEnumerable<LoadOff> found) =>
        found
            .Select(off =>
                off.IsConfirmed ? TripRemoval.Confirmed
                : off is OffJudged { Facts.AllOffs.Written: > 0 } ? TripRemoval.Written
                : TripRemoval.Asked
            )
            .DefaultIfEmpty(TripRemoval.Asked)
            .Max();
}
