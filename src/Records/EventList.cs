using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records;

/// <summary>Picks the entries a reader of the report wants to see; scans and routine are left to the journal.</summary>
internal static class EventList
{
    /// <summary>One line for each.</summary>
    public static IEnumerable<RunEvent> Of(IReadOnlyList<JournalEntry> entries) =>
        entries.Select(Of).OfType<RunEvent>();

    private static RunEvent? Of(JournalEntry entry) =>
        entry switch
        {
            RunOpened e => Event(e, "opened", $"run {e.RunId}, unit {e.UnitSerialNumber}"),
            GatePassed e => Event(
                e,
                "gate",
                e.Half == 1 ? "first half passed, engine stopped" : "second half passed, engine running"
            ),
            GateChecked { Passed: false } e => Event(e, "gate", $"{e.Check}: {e.Found}"),
            StepStarted e => Event(e, "step", $"{e.Step}: {e.Title}"),
            StepEnded { Remark.Length: > 0 } e => Event(e, "step", $"{e.Step} ended: {e.Remark}"),
            SwitchEnded { Result.Outcome: not CommandOutcome.Ok } e => Event(
                e,
                "switching",
                $"command {e.Command} {(e.Result.Outcome == CommandOutcome.Unknown ? "unknown" : "failed")}: {e.Result.Detail}"
            ),
            PointMeasured { HasSettled: false } e => Event(e, "not settled", $"step {e.Step}: {e.Words}"),
            Tripped e => Event(e, "trip", $"{e.Code}: {e.Detail}"),
            Stopped e => Event(e, "stop", $"{e.Who}: {e.Detail}"),
            LoadRemoved e => Event(e, "load removed", $"{e.Cause.Code}: {e.Cause.Detail}"),
            LoadOff e => Event(e, e.IsConfirmed ? "load off" : "LOAD OFF NOT CONFIRMED", e.Detail),
            Remarked e => Event(e, "remark", e.Text),
            RunClosed e => Event(e, "closed", Closing(e)),
            _ => null,
        };

    private static RunEvent Event(JournalEntry entry, string kind, string text) => new(entry.At, kind, text);

    private static string Closing(RunClosed e) =>
        string.Join(": ", new[] { e.Outcome.ToString().ToLowerInvariant(), e.Code, e.Detail }.Where(t => t.Length > 0));
}
