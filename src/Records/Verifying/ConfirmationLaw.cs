using LoadTest.Analysis;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Verifying;

/// <summary>What was said of load off, held against the readings it names.</summary>
/// <remarks>Journals of format 1 have a sentence in place of facts; it is not read back, so nothing is held against it.</remarks>
internal static class ConfirmationLaw
{
    /// <summary>Every statement that contradicts its facts, its removal or its readings.</summary>
    /// <param name="entries">The journal.</param>
    /// <param name="plan">Its plan, for shunts and elements; null when its files give none, and values are then not compared.</param>
    public static IEnumerable<(int, string)> Check(IReadOnlyList<JournalEntry> entries, RunPlan? plan)
    {
        var removed = TimeSpan.Zero;
        var isAfterwards = false;
        for (var i = 0; i < entries.Count; i++)
        {
            if (entries[i] is LoadRemoved || JournalLaws.IsOn(entries[i]))
                removed = entries[i].At;
            // A run whose program ended is closed by the next start, whose readings stand in no scan of this journal.
            if (entries[i] is LoadRemoved { Cause.Code: InterruptedCode })
                isAfterwards = true;
            if (entries[i] is not OffJudged judged)
                continue;
            foreach (var found in Of(judged, removed))
                yield return (i, found);
            if (isAfterwards)
                continue;
            foreach (var found in Of(judged.IsConfirmed, judged.Facts, entries, i, plan))
                yield return (i, found);
        }
    }

    /// <summary>Code of a removal by the start after the one that ended.</summary>
    internal const string InterruptedCode = "CRASH";

    private static IEnumerable<string> Of(OffJudged judged, TimeSpan removed)
    {
        if (judged.IsConfirmed && !judged.Facts.Confirm)
            yield return "load off is confirmed, and its facts do not confirm it";
        if (judged.Facts.Removed < removed)
            yield return $"load off is told from {Seconds(judged.Facts.Removed)}, and the load was removed or switched on at {Seconds(removed)}";
    }

    private static IEnumerable<string> Of(
        bool isConfirmed,
        OffFacts facts,
        IReadOnlyList<JournalEntry> entries,
        int at,
        RunPlan? plan
    )
    {
        if (facts.Contacts is { } contacts && !entries.Take(at).Any(e => Says(e, contacts)))
            yield return $"contacts are told as read at {Seconds(contacts.At)}, and no frame read them so";
        // A reply under way at the removal comes after it and was asked for before: what is not confirmed does not tell it.
        var later = entries
            .Take(at)
            .OfType<StatesRead>()
            .LastOrDefault(s =>
                s.States.Outcome == CommandOutcome.Ok && s.At > (facts.Contacts?.At ?? TimeSpan.MinValue)
            );
        if (isConfirmed && later is not null)
            yield return $"contacts were read at {Seconds(later.At)}, later than the reading that is told";
        // What is older than the removal confirms nothing and is told as old.
        foreach (var told in facts.Readings.Where(r => facts.IsSince(r.At)))
        {
            if (Source(entries, told) is not { } reading)
                yield return $"channel {told.Channel} is told as read at {Seconds(told.At)}, and no scan holds that reading";
            else if (plan is not null && !Agrees(plan, reading, told))
                yield return $"channel {told.Channel} is told as {Figures.Of(told.Value, 6)} ({told.Sign}) at {Seconds(told.At)}, and its reading {Figures.Of(reading.Value, 6)} says otherwise";
            if (IsOutdated(entries, at, told))
                yield return $"channel {told.Channel} was read again after {Seconds(told.At)}, and the older reading is told";
        }
    }

    private static bool Says(JournalEntry entry, ContactsRead contacts) =>
        entry is StatesRead { States: { Outcome: CommandOutcome.Ok } states }
        && entry.At == contacts.At
        && states.Contacts.Union(states.Commanded) == contacts.Held;

    // A reading may be journaled with the scan after the statement it led to.
    private static Reading? Source(IReadOnlyList<JournalEntry> entries, OffReading told)
    {
        for (var i = entries.Count - 1; i >= 0; i--)
        {
            if (entries[i] is not Scanned scanned)
                continue;
            if (scanned.At < told.At)
                return null;
            foreach (var reading in scanned.Readings)
            {
                if (reading.Channel == told.Channel && reading.At == told.At && reading.Flag == IndicationFlag.Good)
                    return reading;
            }
        }
        return null;
    }

    // Whether it counts, and whether its digits had to change, was known then; the value and what it says follow from the reading.
    private static bool Agrees(RunPlan plan, Reading reading, OffReading told) =>
        reading.Channel >= 0
        && reading.Channel < plan.Bench.Channels.Length
        && LoadWitness.Of(
            plan,
            reading,
            told.SameSince,
            isProved: told.Sign == OffSign.NoCurrent,
            isStuck: told.Sign is OffSign.Unproved or OffSign.NotLive
        ) == told;

    private static bool IsOutdated(IReadOnlyList<JournalEntry> entries, int before, OffReading told)
    {
        for (var i = before - 1; i >= 0 && entries[i].At >= told.At; i--)
        {
            if (entries[i] is not Scanned scanned)
                continue;
            foreach (var reading in scanned.Readings)
            {
                if (reading.Channel == told.Channel && reading.At > told.At && reading.Flag == IndicationFlag.Good)
                    return true;
            }
        }
        return false;
    }

    private static string Seconds(TimeSpan time) => $"{time.TotalSeconds:0.000} s";
}
