namespace LoadTest.Instruments.Line;

/// <summary>What a protocol asks of the line it runs on.</summary>
/// <param name="HasNumbers">Whether replies carry their request's number, so that a late one cannot be mistaken.</param>
/// <param name="TurnAround">Silence kept between the last byte received and the next frame.</param>
/// <param name="LateWindow">How long a reply that missed its deadline is still awaited, and thrown away, before the next request.</param>
/// <param name="WholeFrames">For numbered protocols: how many bytes from the front are whole frames; −1 when they are no frames.</param>
internal sealed record LineRules(
    bool HasNumbers,
    TimeSpan TurnAround,
    TimeSpan LateWindow,
    Func<ReadOnlySpan<byte>, int>? WholeFrames = null
)
{
    /// <summary>Shortest silence that ends a drain, whatever the protocol.</summary>
    public static readonly TimeSpan LeastSilence = TimeSpan.FromMilliseconds(10);

    /// <summary>Frames of other requests tolerated while one reply is awaited.</summary>
    public const int MostStaleFrames = 3;

    /// <summary>Silence that ends a drain.</summary>
    public TimeSpan Silence => TurnAround > LeastSilence ? TurnAround : LeastSilence;

    /// <summary>A span in timestamps of a clock: 1 ms of a clock of 10 MHz is 10 000.</summary>
    public static long Ticks(TimeSpan span, TimeProvider time) =>
        time.TimestampFrequency == TimeSpan.TicksPerSecond
            ? span.Ticks
            : (long)((Int128)span.Ticks * time.TimestampFrequency / TimeSpan.TicksPerSecond);
}
