using System.Globalization;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records;

/// <summary>What a wall clock that was set in the middle of a run does to its record: labels are in doubt, durations are not.</summary>
internal static class ClockRule
{
    /// <summary>Steps that add up to more than this bar every claim beyond a test.</summary>
    public static readonly TimeSpan Most = TimeSpan.FromSeconds(2);

    /// <summary>How far the clock was set in all, whichever way; 3 s on and 3 s back are 6 s.</summary>
    public static TimeSpan Total(IEnumerable<JournalEntry> entries) =>
        entries.OfType<ClockMoved>().Aggregate(TimeSpan.Zero, (sum, e) => sum + e.By.Duration());

    /// <summary>One step in words: "clock moved −37.0 s; durations are not touched".</summary>
    public static string Words(TimeSpan by) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"clock moved {(by < TimeSpan.Zero ? "−" : "+")}{by.Duration().TotalSeconds:0.0} s; durations are not touched"
        );
}
