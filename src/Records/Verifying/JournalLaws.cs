using System.Collections.Immutable;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Verifying;

/// <summary>The laws of a journal: what must follow from what, and when.</summary>
/// <remarks>
/// Whoever can write the file can chain frames of his own; these are what he would also have to think of. They hold for every part of a
/// journal from its beginning, so one that was cut short keeps them too.
/// </remarks>
internal static class JournalLaws
{
    /// <summary>Every law, in the order a reader would look.</summary>
    public static ImmutableArray<JournalLaw> All { get; } =
    [
        Law("time never goes back, and nothing is read after it was journaled", Time),
        Law("the gate's first half is passed before anything is switched on, and before its second half", Gate),
        Law("nothing is switched on once the load was removed", NothingAfterRemoval),
        Law("a switching that ended was intended before, once, by a number that rises", Intents),
        Law("an answer follows its question", Questions),
        Law("steps begin in rising order, and a step ends before the next begins", Steps),
        Law("a point is measured within its step, over times that are past", Points),
        Law("a run ends complete only if nothing removed the load, and otherwise by the first cause", Outcomes),
        Law("the bank's end follows from what was switched on and what was found since", BankEnds),
        new(
            "load off is confirmed only by readings later than the removal, each of them journaled, none of them outdated",
            ConfirmationLaw.Check
        ),
    ];

    /// <summary>The first breach of each law.</summary>
    /// <param name="entries">The journal.</param>
    /// <param name="plan">Its plan; null when its files give none.</param>
    public static ImmutableArray<LawBreach> Broken(IReadOnlyList<JournalEntry> entries, RunPlan? plan) =>
        [
            .. All.SelectMany(law =>
                law.Check(entries, plan).Take(1).Select(breach => new LawBreach(law.Name, breach.Frame, breach.Found))
            ),
        ];

    private static JournalLaw Law(
        string name,
        Func<IReadOnlyList<JournalEntry>, IEnumerable<(int Frame, string Found)>> check
    ) => new(name, (entries, _) => check(entries));

    /// <summary>Whether an entry is the intent to switch something on.</summary>
    internal static bool IsOn(JournalEntry entry) =>
        entry is SwitchIntended { Elements.IsEmpty: false } or OutputIntended { IsOn: true };

    private static IEnumerable<(int, string)> Time(IReadOnlyList<JournalEntry> entries)
    {
        for (var i = 0; i < entries.Count; i++)
        {
            if (i > 0 && entries[i].At < entries[i - 1].At)
                yield return (
                    i,
                    $"it stands at {Seconds(entries[i].At)}, the frame before at {Seconds(entries[i - 1].At)}"
                );
            if (entries[i] is not Scanned scanned)
                continue;
            foreach (var reading in scanned.Readings)
            {
                if (reading.At > scanned.At)
                    yield return (
                        i,
                        $"a reading of channel {reading.Channel} at {Seconds(reading.At)} stands in a scan at {Seconds(scanned.At)}"
                    );
            }
        }
    }

    private static IEnumerable<(int, string)> Gate(IReadOnlyList<JournalEntry> entries)
    {
        for (var i = 0; i < entries.Count; i++)
        {
            if (entries[i] is GatePassed { Half: 1 })
                yield break;
            if (IsOn(entries[i]))
                yield return (i, "something is to be switched on before the gate was passed");
            if (entries[i] is GatePassed)
                yield return (i, "the second half of the gate is passed before the first");
        }
    }

    private static IEnumerable<(int, string)> NothingAfterRemoval(IReadOnlyList<JournalEntry> entries)
    {
        var removed = -1;
        for (var i = 0; i < entries.Count; i++)
        {
            if (entries[i] is LoadRemoved or Tripped or Stopped && removed < 0)
                removed = i;
            if (removed >= 0 && IsOn(entries[i]))
                yield return (i, $"something is to be switched on; frame {removed} removed the load");
        }
    }

    private static IEnumerable<(int, string)> Intents(IReadOnlyList<JournalEntry> entries)
    {
        var last = 0;
        var open = new HashSet<int>();
        for (var i = 0; i < entries.Count; i++)
        {
            var intended = entries[i] switch
            {
                SwitchIntended e => e.Command,
                OutputIntended e => e.Command,
                _ => (int?)null,
            };
            if (intended is { } command)
            {
                if (command <= last)
                    yield return (i, $"command {command} is intended after command {last}");
                last = command;
                open.Add(command);
            }
            // Number 0 is the relay's opening with a removal, which waits for no intent.
            var ended = entries[i] switch
            {
                SwitchEnded e => e.Command,
                OutputSwitched { Command: not 0 } e => e.Command,
                _ => (int?)null,
            };
            if (ended is { } done && !open.Remove(done))
                yield return (i, $"command {done} ended and was not intended, or had ended already");
        }
    }

    private static IEnumerable<(int, string)> Questions(IReadOnlyList<JournalEntry> entries)
    {
        var asked = new HashSet<int>();
        for (var i = 0; i < entries.Count; i++)
        {
            if (entries[i] is Asked e)
                asked.Add(e.Question.Number);
            if (entries[i] is Answered answer && !asked.Contains(answer.Question))
                yield return (i, $"question {answer.Question} is answered and was not asked");
        }
    }

    private static IEnumerable<(int, string)> Steps(IReadOnlyList<JournalEntry> entries)
    {
        var (last, isOpen) = (0, false);
        for (var i = 0; i < entries.Count; i++)
        {
            if (entries[i] is StepStarted started)
            {
                if (started.Step <= last)
                    yield return (i, $"step {started.Step} begins after step {last}");
                else if (isOpen)
                    yield return (i, $"step {started.Step} begins within step {last}");
                (last, isOpen) = (started.Step, true);
            }
            else if (entries[i] is StepEnded ended)
            {
                if (!isOpen || ended.Step != last)
                    yield return (i, $"step {ended.Step} ends and had not begun");
                isOpen = false;
            }
        }
    }

    private static IEnumerable<(int, string)> Points(IReadOnlyList<JournalEntry> entries)
    {
        int? step = null;
        for (var i = 0; i < entries.Count; i++)
        {
            if (entries[i] is StepStarted started)
                step = started.Step;
            else if (entries[i] is StepEnded)
                step = null;
            else if (entries[i] is PointMeasured point)
            {
                if (point.Step != step)
                    yield return (i, $"step {point.Step} is measured and not the one that runs");
                else if (point.To < point.From || point.At < point.To)
                    yield return (
                        i,
                        $"step {point.Step} is measured from {Seconds(point.From)} to {Seconds(point.To)} at {Seconds(point.At)}"
                    );
            }
        }
    }

    private static IEnumerable<(int, string)> Outcomes(IReadOnlyList<JournalEntry> entries)
    {
        if (entries.Count == 0 || entries[^1] is not RunClosed closed)
            yield break;
        var last = entries.Count - 1;
        var removed = entries.OfType<LoadRemoved>().FirstOrDefault();
        var started = entries.Count(e => e is StepStarted);
        if (closed.Outcome == Outcome.Complete)
        {
            if (removed is not null || entries.Any(e => e is Tripped or Stopped))
                yield return (last, "the run is complete, and its load was removed");
            if (started == 0 || started != entries.Count(e => e is StepEnded))
                yield return (last, "the run is complete, and a step of it did not end");
        }
        else if (closed.Outcome is Outcome.Tripped && !entries.Any(e => e is Tripped))
            yield return (last, "the run is closed as tripped, and nothing tripped it");
        else if (closed.Outcome is Outcome.Stopped && !entries.Any(e => e is Stopped))
            yield return (last, "the run is closed as stopped, and nobody stopped it");
        if (removed is not null && closed.Outcome != Outcome.Interrupted && closed.Code != removed.Cause.Code)
            yield return (last, $"the run is closed by {closed.Code}, and {removed.Cause.Code} removed the load");
    }

    private static IEnumerable<(int, string)> BankEnds(IReadOnlyList<JournalEntry> entries)
    {
        if (entries.Count == 0 || entries[^1] is not RunClosed closed)
            yield break;
        var (last, on, off) = (entries.Count - 1, -1, -1);
        var intended = new HashSet<int>();
        var wasSent = false;
        for (var i = 0; i < entries.Count; i++)
        {
            if (IsOn(entries[i]))
                (on, off) = (i, -1);
            if (entries[i] is SwitchIntended { Elements.IsEmpty: false } s)
                intended.Add(s.Command);
            else if (entries[i] is SwitchEnded { Result.Outcome: CommandOutcome.Ok } e && intended.Contains(e.Command))
                wasSent = true;
            else if (entries[i] is LoadOff found)
                off = found.IsConfirmed ? i : -1;
        }
        if (closed.Bank == BankEnd.NeverEnergised && wasSent)
            yield return (last, $"the bank is closed as never energised; frame {on} switched elements on");
        // Storage that was lost in mid-run leaves an end whose finding no frame could take up.
        if (closed.Bank == BankEnd.Off && off < 0 && closed is not { Outcome: Outcome.Interrupted })
            yield return (last, "the bank is closed as off, and no frame since the last switching on found it so");
    }

    private static string Seconds(TimeSpan time) => $"{time.TotalSeconds:0.000} s";
}
