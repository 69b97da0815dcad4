using LoadTest.Records;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.RecordsTests;

/// <summary>What a picture of a run may say of a trip rests on what was found after it, not on the trip's name.</summary>
public sealed class LoadTripTests
{
    private static readonly TimeSpan At = TimeSpan.FromSeconds(10);
    private static readonly Tripped Trip = new(At, "HIGH", "a limit was crossed");

    [Fact]
    public void Trip_whose_removal_was_found_off_is_confirmed_however_often_it_was_not_before() =>
        Assert.Equal(TripRemoval.Confirmed, Of(Trip, Found(false, 3), Found(true, 5)));

    [Fact]
    public void Trip_whose_all_off_a_line_took_and_nothing_more_is_only_written() =>
        Assert.Equal(TripRemoval.Written, Of(Trip, Found(false, 3)));

    [Fact]
    public void Trip_whose_all_off_no_line_took_is_only_asked_for()
    {
        Assert.Equal(TripRemoval.Asked, Of(Trip, Found(false, 0)));
        Assert.Equal(TripRemoval.Asked, Of(Trip));
    }

    [Fact]
    public void Load_found_off_before_a_trip_says_nothing_of_it() =>
        Assert.Equal(TripRemoval.Asked, Of(Found(true, 1), Trip));

    [Fact]
    public void Remark_that_speaks_of_a_trip_is_none() =>
        Assert.Empty(LoadTrip.Of([new Remarked(At, "trip"), new Stopped(At, "trip", "trip")]));

    private static TripRemoval Of(params JournalEntry[] entries)
    {
        var trip = Assert.Single(LoadTrip.Of(entries));
        Assert.Equal(At, trip.At);
        return trip.Removal;
    }

    private static OffJudged Found(bool isConfirmed, long written) =>
        new(At, isConfirmed, new OffFacts(At, new AllOffCounts(written, 0, 0), null, [], null));
}
