using System.Collections.Immutable;
using System.Text.Json;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Journaling;

/// <summary>Entries about bank, relay and readings, and what became of the load.</summary>
internal static class BankKinds
{
    /// <summary>The kinds.</summary>
    public static readonly EntryKind[] All =
    [
        new EntryKind<Scanned>("scanned", WriteScan, (at, ref f) => new(at, ReadScan(ref f))),
        new EntryKind<SwitchIntended>(
            "switch intended",
            (json, e) =>
            {
                json.WriteNumber("command", e.Command);
                json.WriteNumber("elements", e.Elements.Mask);
            },
            (at, ref f) => new(at, f.Integer("command"), f.Elements("elements"))
        ),
        new EntryKind<SwitchEnded>(
            "switch ended",
            (json, e) =>
            {
                json.WriteNumber("command", e.Command);
                WriteResult(json, e.Result);
            },
            (at, ref f) => new(at, f.Integer("command"), ReadResult(ref f))
        ),
        new EntryKind<OutputIntended>(
            "output intended",
            (json, e) =>
            {
                json.WriteNumber("command", e.Command);
                json.WriteBoolean("on", e.IsOn);
            },
            (at, ref f) => new(at, f.Integer("command"), f.YesNo("on"))
        ),
        new EntryKind<OutputSwitched>(
            "output switched",
            (json, e) =>
            {
                json.WriteNumber("command", e.Command);
                WriteResult(json, e.Result);
                json.WriteBoolean("closed", e.IsClosed);
            },
            (at, ref f) => new(at, f.Integer("command"), ReadResult(ref f), f.YesNo("closed"))
        ),
        new EntryKind<StatesRead>(
            "states read",
            (json, e) => WriteStates(json, e.States),
            (at, ref f) => new(at, ReadStates(ref f))
        ),
        new EntryKind<LoadRemoved>(
            "load removed",
            (json, e) =>
            {
                json.WriteString("code", e.Cause.Code);
                json.WriteString("detail", e.Cause.Detail);
            },
            (at, ref f) => new(at, new RemovalCause(f.Text("code"), f.Text("detail")))
        ),
        new EntryKind<OffJudged>(
            "off judged",
            (json, e) =>
            {
                json.WriteBoolean("confirmed", e.IsConfirmed);
                WriteFacts(json, e.Facts);
            },
            (at, ref f) => new(at, f.YesNo("confirmed"), ReadFacts(ref f))
        ),
        // Format 1 alone has it; nothing writes it any more but the tests that prove it is read.
        new EntryKind<OffSaid>(
            "load off",
            (json, e) =>
            {
                json.WriteBoolean("confirmed", e.IsConfirmed);
                json.WriteString("detail", e.Detail);
            },
            (at, ref f) => new(at, f.YesNo("confirmed"), f.Text("detail"))
        ),
    ];

    private static void WriteResult(Utf8JsonWriter json, CommandResult result)
    {
        json.WriteWord("outcome", result.Outcome);
        json.WriteString("detail", result.Detail);
    }

    private static CommandResult ReadResult(ref EntryFields f) =>
        new(f.Word<CommandOutcome>("outcome"), f.Text("detail"));

    private static void WriteStates(Utf8JsonWriter json, LoadStates s)
    {
        WriteResult(json, new CommandResult(s.Outcome, s.Detail));
        json.WriteNumber("commanded", s.Commanded.Mask);
        json.WriteNumber("contacts", s.Contacts.Mask);
        json.WriteYesNo("air flow", s.HasAirFlow);
        json.WriteYesNo("over temperature", s.IsOverTemperature);
        json.WriteYesNo("stop healthy", s.IsStopHealthy);
        json.WriteNumber("timestamp", s.Timestamp);
    }

    private static LoadStates ReadStates(ref EntryFields f) =>
        new(
            f.Word<CommandOutcome>("outcome"),
            f.Text("detail"),
            f.Elements("commanded"),
            f.Elements("contacts"),
            f.MaybeYesNo("air flow"),
            f.MaybeYesNo("over temperature"),
            f.MaybeYesNo("stop healthy"),
            f.Long("timestamp")
        );

    private static void WriteScan(Utf8JsonWriter json, Scanned scanned)
    {
        json.WriteStartArray(JournalFormat.Readings);
        foreach (ref readonly var reading in scanned.Readings.AsSpan())
        {
            json.WriteStartArray();
            json.WriteNumberValue(reading.Channel);
            if (reading.Flag == IndicationFlag.Good)
                json.WriteNumberValue(EntryJson.Real(reading.Value));
            else
                json.WriteNullValue();
            json.WriteTimeValue(reading.At);
            if (reading.Flag != IndicationFlag.Good)
                json.WriteWordValue(reading.Flag);
            json.WriteEndArray();
        }
        json.WriteEndArray();
    }

    private static ImmutableArray<Reading> ReadScan(ref EntryFields fields)
    {
        var readings = ImmutableArray.CreateBuilder<Reading>(8);
        fields.StartArray("readings");
        while (fields.NextIsArray())
        {
            var channel = fields.IntegerItem();
            var value = fields.MaybeNumberItem();
            var at = fields.TimeItem();
            var flag = value is null ? fields.WordItem<IndicationFlag>() : IndicationFlag.Good;
            if (value is null && flag == IndicationFlag.Good)
                throw new FormatException("a good reading has a value");
            fields.EndArrayItem();
            readings.Add(new Reading(channel, value ?? 0, flag, at));
        }
        return readings.DrainToImmutable();
    }

    private static void WriteFacts(Utf8JsonWriter json, OffFacts facts)
    {
        json.WriteTime("removed", facts.Removed);
        json.WriteNumber("written", facts.AllOffs.Written);
        json.WriteNumber("answered", facts.AllOffs.Answered);
        json.WriteNumber("failed", facts.AllOffs.Failed);
        json.WriteElements("held", facts.Contacts?.Held);
        json.WriteTime("contacts at", facts.Contacts?.At);
        json.WriteStartArray("readings");
        foreach (var reading in facts.Readings)
        {
            json.WriteStartArray();
            json.WriteNumberValue(reading.Channel);
            json.WriteWordValue(reading.Role);
            json.WriteNumberValue(EntryJson.Real(reading.Value));
            json.WriteWordValue(reading.Sign);
            json.WriteTimeValue(reading.At);
            json.WriteTimeValue(reading.SameSince);
            json.WriteEndArray();
        }
        json.WriteEndArray();
        json.WriteString("stopped by", facts.Stopped?.Who);
        json.WriteTime("stopped at", facts.Stopped?.At);
    }

    private static OffFacts ReadFacts(ref EntryFields f)
    {
        var removed = f.Time("removed");
        var counts = new AllOffCounts(f.Count("written"), f.Count("answered"), f.Count("failed"));
        var held = f.MaybeElements("held");
        var heldAt = f.MaybeTime("contacts at");
        var readings = ReadOffReadings(ref f);
        var who = f.MaybeText("stopped by");
        var stoppedAt = f.MaybeTime("stopped at");
        if (held is null != heldAt is null || who is null != stoppedAt is null)
            throw new FormatException("a fact and its time come together");
        return new OffFacts(
            removed,
            counts,
            held is { } elements ? new ContactsRead(elements, heldAt!.Value) : null,
            readings,
            who is null ? null : new EngineStopped(who, stoppedAt!.Value)
        );
    }

    private static ImmutableArray<OffReading> ReadOffReadings(ref EntryFields f)
    {
        var readings = ImmutableArray.CreateBuilder<OffReading>(4);
        f.StartArray("readings");
        while (f.NextIsArray())
        {
            var channel = f.IntegerItem();
            var role = f.WordItem<ChannelRole>();
            var value = f.MaybeNumberItem() ?? throw new FormatException("a fact has a value");
            readings.Add(new OffReading(channel, role, value, f.WordItem<OffSign>(), f.TimeItem(), f.TimeItem()));
            f.EndArrayItem();
        }
        return readings.DrainToImmutable();
    }
}
