namespace LoadTest.InstrumentsTests.Stale;

/// <summary>What became of so many exchanges, by the client's counters and by what the device knows it did.</summary>
/// <param name="Exchanges">Requests sent.</param>
/// <param name="Asked">Requests the device got.</param>
/// <param name="Good">Values that are those of the register asked for.</param>
/// <param name="Missing">Readings without a value.</param>
/// <param name="Wrong">Values of another register.</param>
/// <param name="Astray">Replies dropped, late and doubled.</param>
/// <param name="Missed">Replies whose last byte came after their request's deadline, or never; −1 when nobody knows.</param>
/// <param name="Replies">Replies accepted.</param>
/// <param name="Timeouts">Deadlines missed.</param>
/// <param name="BadFrames">Replies refused.</param>
internal sealed record StaleCount(
    long Exchanges,
    long Asked,
    long Good,
    long Missing,
    long Wrong,
    long Astray,
    long Missed,
    long Replies,
    long Timeouts,
    long BadFrames
)
{
    /// <summary>What does not hold, in words; empty when all of it does.</summary>
    public string Trouble()
    {
        if (Wrong != 0)
            return $"{Wrong} values belong to another register.";
        if (Exchanges != Asked)
            return $"{Exchanges} requests were sent, {Asked} came.";
        if (Exchanges != Replies + Timeouts + BadFrames)
            return $"{Exchanges} requests ended in {Replies} replies, {Timeouts} deadlines and {BadFrames} bad frames: some are not counted.";
        // A request whose own reply is late may end earlier, by another's frame that comes in its place.
        return Missed >= 0 && (Missed < Timeouts || Missed > Timeouts + BadFrames)
            ? $"{Missed} replies missed their deadline; {Timeouts} deadlines and {BadFrames} bad frames were counted."
            : "";
    }
}
