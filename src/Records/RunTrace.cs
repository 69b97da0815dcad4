using System.Collections.Immutable;
using LoadTest.Records.Measuring;

namespace LoadTest.Records;

/// <summary>One quantity over the run, thinned for a picture: the lowest and highest reading of each of many spans.</summary>
/// <param name="Minutes">Times since the run was opened, rising.</param>
/// <param name="Values">Values in volts or amperes, as many.</param>
public sealed record RunTrace(ImmutableArray<double> Minutes, ImmutableArray<double> Values)
{
    private const int Spans = 700;

    /// <summary>Nothing to draw.</summary>
    public static RunTrace Empty { get; } = new([], []);

    /// <summary>Thins the good readings of a channel; the extremes survive.</summary>
    internal static RunTrace Of(ChannelReadings? readings, double scale)
    {
        if (readings is null)
            return Empty;
        var good = readings.All.Where(r => r.Flag == Sequencer.Ports.IndicationFlag.Good).ToArray();
        var size = Math.Max(1, (good.Length + Spans - 1) / Spans);
        var kept = good.Chunk(size).SelectMany(Extremes).ToArray();
        return new RunTrace([.. kept.Select(r => r.At.TotalMinutes)], [.. kept.Select(r => r.Value * scale)]);
    }

    private static IEnumerable<Sequencer.Journal.Reading> Extremes(Sequencer.Journal.Reading[] span)
    {
        var (low, high) = (span.MinBy(r => r.Value), span.MaxBy(r => r.Value));
        return low.At == high.At ? [low]
            : low.At < high.At ? [low, high]
            : [high, low];
    }
}
