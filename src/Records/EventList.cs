using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records;

/// <summary>Picks the entries a reader of the report wants to see; scans and routine are left to the journal.</summary>
/// <remarks>The points of one group are one event, that of its first: each point has its own times beside its values.</remarks>
internal sealed class EventList
{
    private readonly IReadOnlyDictionary<int, PointGroup> _groups;
    private readonly IReadOnlyDictionary<int, (int First, int Last)> _spans;
    private readonly HashSet<int> _begun = [];
    private readonly HashSet<PointMeasured> _lastOfEnded;
    private StepStarted? _step;
    private bool _isRemoved;
    private string _unsettled = "";

    private EventList(IReadOnlyList<JournalEntry> entries, RunPlan? plan)
    {
        var ended = entries.OfType<StepEnded>().Select(e => e.Step).ToHashSet();
        _lastOfEnded =
        [
            .. entries
                .OfType<PointMeasured>()
                .Where(p => ended.Contains(p.Step))
                .GroupBy(p => p.Step)
                .Select(g => g.Last()),
        ];
        var points = plan?.Steps.OfType<PointStep>().ToArray() ?? [];
        var groups = plan?.Groups.ToDictionary(g => g.Number) ?? [];
        _groups = points.ToDictionary(p => p.Number, p => groups[p.Group]);
        _spans = points
            .GroupBy(p => p.Group)
            .ToDictionary(g => g.Key, g => (g.Min(p => p.Number), g.Max(p => p.Number)));
    }

    /// <summary>One line for each.</summary>
    public static IEnumerable<RunEvent> Of(IReadOnlyList<JournalEntry> entries, RunPlan? plan)
    {
        var list = new EventList(entries, plan);
        return entries.Select(list.Of).OfType<RunEvent>();
    }

    private RunEvent? Of(JournalEntry entry) =>
        entry switch
        {
            RunOpened e => Event(e, "opened", $"run {e.RunId}, unit {e.UnitSerialNumber}"),
            GatePassed e => Event(
                e,
                "gate",
                e.Half == 1 ? "first half passed, engine stopped" : "second half passed, engine running"
            ),
            GateChecked { Passed: false } e => Event(e, "gate", $"{e.Check}: {e.Found}"),
            StepStarted e => Step(e),
            StepEnded { Remark.Length: > 0 } e when e.Remark != _unsettled => Event(
                e,
                "step",
                $"{e.Step} ended: {e.Remark}"
            ),
            SwitchEnded { Result.Outcome: not CommandOutcome.Ok } e => Event(
                e,
                "switching",
                $"command {e.Command} {(e.Result.Outcome == CommandOutcome.Unknown ? "unknown" : "failed")}: {e.Result.Detail}"
            ),
            OutputSwitched e => Event(
                e,
                "output relay",
                e.Result.Outcome == CommandOutcome.Ok
                    ? $"contact {(e.IsClosed ? "closed" : "open")}"
                    : $"could not be read: {e.Result.Detail}"
            ),
            PointMeasured { HasSettled: false } e when !IsTemperature(e) => Unsettled(e),
            Tripped e => Event(e, "trip", $"{e.Code}: {e.Detail}{Where()}"),
            Stopped e => Event(e, "stop", $"{e.Who}: {e.Detail}{Where()}"),
            LoadRemoved e => Removed(e),
            LoadOff e => Event(
                e,
                !e.IsConfirmed ? "LOAD OFF NOT CONFIRMED"
                    : _isRemoved ? "load removed"
                    : "load off",
                e.Words
            ),
            Remarked e => Event(e, "remark", e.Text),
            ClockMoved e => Event(e, "clock moved", ClockRule.Words(e.By)),
            RunClosed e => Event(e, "closed", Closing(e)),
            NewerEntry e => Event(e, "unknown", e.ToString()),
            _ => PeopleEvents.Of(entry),
        };

    private RunEvent Removed(LoadRemoved removed)
    {
        _isRemoved = true;
        return Event(removed, "all-off", $"{removed.Cause.Code}: {removed.Cause.Detail}");
    }

    private RunEvent? Step(StepStarted started)
    {
        _step = started;
        if (!_groups.TryGetValue(started.Step, out var group))
            return Event(started, "step", $"{started.Step}: {started.Title}");
        if (!_begun.Add(group.Number))
            return null;
        var (first, last) = _spans[group.Number];
        return Event(started, "step", first == last ? $"{first}: {group.Title}" : $"{first} to {last}: {group.Title}");
    }

    private RunEvent Unsettled(PointMeasured point)
    {
        _unsettled = point.Words;
        return Event(point, "not settled", $"step {point.Step}: {point.Words}");
    }

    // Temperatures taken in a heat run stand with their group; the hot point is the last window of a step that ended.
    private bool IsTemperature(PointMeasured point) =>
        _groups.TryGetValue(point.Step, out var group)
        && group.Kind == GroupKind.HeatRun
        && !_lastOfEnded.Contains(point);

    private string Where() => _step is { } step ? $" (step {step.Step}, {step.Title})" : "";

    private static RunEvent Event(JournalEntry entry, string kind, string text) => new(entry.At, kind, text);

    private static string Closing(RunClosed e) =>
        string.Join(": ", new[] { e.Outcome.ToString().ToLowerInvariant(), e.Code, e.Detail }.Where(t => t.Length > 0));
}
