using LoadTest.Reports;

namespace LoadTest.Running;

/// <summary>The run before this one in the same store.</summary>
/// <param name="RunId">Its id.</param>
/// <param name="Head">Head of its journal.</param>
/// <param name="IsClosed">Whether its journal says how it ended.</param>
/// <param name="LastEntry">Time of its last entry since it was opened.</param>
/// <param name="StartedUtc">Wall time of its start.</param>
internal sealed record PreviousRun(
    string RunId,
    string Head,
    bool IsClosed,
    TimeSpan LastEntry,
    DateTimeOffset StartedUtc
)
{
    /// <summary>What there is to say about it when it was interrupted; null when it was not.</summary>
    /// <param name="now">Wall time now.</param>
    public string? Interruption(DateTimeOffset now)
    {
        if (IsClosed)
            return null;
        var gap = now - (StartedUtc + LastEntry);
        return $"The run before this one, {RunId}, was interrupted {ReportNumber.Time(LastEntry)} after its start, {(gap > TimeSpan.Zero ? $"{ReportNumber.Time(gap)} ago" : "at a time not known")}; its journal does not say what became of the load. All-off was sent before anything else.";
    }
}
