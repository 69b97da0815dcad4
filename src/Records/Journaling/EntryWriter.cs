using System.Text.Json;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Journaling;

/// <summary>Journal entries to JSON: one object each, properties always in the same order.</summary>
/// <remarks>
/// Times are integer nanoseconds since the run was opened. Numbers are the shortest that read back to the same double.
/// A reading is <c>[channel, value, time]</c> when good, otherwise <c>[channel, null, time, "what it is worth"]</c>.
/// </remarks>
internal static class EntryWriter
{
    private const long NanosecondsPerTick = 100;

    /// <summary>Writes one entry.</summary>
    /// <exception cref="ArgumentException">A number in it is no finite reading, a time lies before the opening, or an enum value has no name.</exception>
    public static void Write(Utf8JsonWriter json, JournalEntry entry)
    {
        json.WriteStartObject();
        json.WriteString(Names.Kind, Names.Of(entry));
        json.WriteNumber(Names.At, Nanoseconds(entry.At));
        if (entry is Scanned scanned)
            WriteReadings(json, scanned);
        else
            WriteBody(json, entry);
        json.WriteEndObject();
    }

    private static void WriteReadings(Utf8JsonWriter json, Scanned scanned)
    {
        json.WriteStartArray(Names.Readings);
        foreach (ref readonly var reading in scanned.Readings.AsSpan())
        {
            json.WriteStartArray();
            json.WriteNumberValue(reading.Channel);
            if (reading.Flag == IndicationFlag.Good)
                json.WriteNumberValue(Number(reading.Value));
            else
                json.WriteNullValue();
            json.WriteNumberValue(Nanoseconds(reading.At));
            if (reading.Flag != IndicationFlag.Good)
                json.WriteStringValue(EnumWords<IndicationFlag>.Of(reading.Flag));
            json.WriteEndArray();
        }
        json.WriteEndArray();
    }

    private static void WriteBody(Utf8JsonWriter json, JournalEntry entry)
    {
        switch (entry)
        {
            case RunOpened e:
                WriteOpened(json, e);
                break;
            case FileEmbedded e:
                json.WriteString("role", EnumWords<FileRole>.Of(e.Role));
                json.WriteString("name", e.Name);
                json.WriteBase64String("bytes", e.Bytes.AsSpan());
                break;
            case CautionAcknowledged e:
                json.WriteString("caution", e.Caution);
                json.WriteString("text", e.Text);
                json.WriteString("who", e.Who);
                break;
            case GateChecked e:
                json.WriteString("check", e.Check);
                json.WriteBoolean("passed", e.Passed);
                json.WriteString("found", e.Found);
                break;
            case GatePassed e:
                json.WriteNumber("half", e.Half);
                json.WriteNumber("valid for", Nanoseconds(e.ValidFor));
                break;
            case StepStarted e:
                json.WriteNumber("step", e.Step);
                json.WriteString("title", e.Title);
                break;
            case StepEnded e:
                json.WriteNumber("step", e.Step);
                json.WriteString("remark", e.Remark);
                break;
            case Asked e:
                WriteQuestion(json, e.Question);
                break;
            case Answered e:
                json.WriteNumber("question", e.Question);
                WriteAnswer(json, e.Answer);
                break;
            default:
                WriteEvent(json, entry);
                break;
        }
    }

    private static void WriteEvent(Utf8JsonWriter json, JournalEntry entry)
    {
        switch (entry)
        {
            case SwitchIntended e:
                json.WriteNumber("command", e.Command);
                json.WriteNumber("elements", e.Elements.Mask);
                break;
            case SwitchEnded e:
                json.WriteNumber("command", e.Command);
                json.WriteString("outcome", EnumWords<CommandOutcome>.Of(e.Result.Outcome));
                json.WriteString("detail", e.Result.Detail);
                break;
            case OutputIntended e:
                json.WriteNumber("command", e.Command);
                json.WriteBoolean("on", e.IsOn);
                break;
            case OutputSwitched e:
                json.WriteNumber("command", e.Command);
                json.WriteString("outcome", EnumWords<CommandOutcome>.Of(e.Result.Outcome));
                json.WriteString("detail", e.Result.Detail);
                json.WriteBoolean("closed", e.IsClosed);
                break;
            case StatesRead e:
                WriteStates(json, e.States);
                break;
            case LoadRemoved e:
                json.WriteString("code", e.Cause.Code);
                json.WriteString("detail", e.Cause.Detail);
                break;
            case LoadOff e:
                json.WriteBoolean("confirmed", e.IsConfirmed);
                json.WriteString("detail", e.Detail);
                break;
            case PointMeasured e:
                json.WriteNumber("step", e.Step);
                json.WriteNumber("from", Nanoseconds(e.From));
                json.WriteNumber("to", Nanoseconds(e.To));
                json.WriteBoolean("settled", e.HasSettled);
                json.WriteString("words", e.Words);
                break;
            case Tripped e:
                json.WriteString("code", e.Code);
                json.WriteString("detail", e.Detail);
                break;
            case Stopped e:
                json.WriteString("who", e.Who);
                json.WriteString("detail", e.Detail);
                break;
            case Remarked e:
                json.WriteString("text", e.Text);
                break;
            case ClockMoved e:
                json.WriteNumber("by", e.By.Ticks * NanosecondsPerTick);
                break;
            case RunClosed e:
                json.WriteString("outcome", EnumWords<Outcome>.Of(e.Outcome));
                json.WriteString("code", e.Code);
                json.WriteString("detail", e.Detail);
                json.WriteString("bank", EnumWords<BankEnd>.Of(e.Bank));
                break;
            default:
                throw new ArgumentException($"No journal words for {entry.GetType().Name}.", nameof(entry));
        }
    }

    private static void WriteOpened(Utf8JsonWriter json, RunOpened e)
    {
        json.WriteNumber("journal", JournalFormat.Version);
        json.WriteString("run", e.RunId);
        json.WriteString("version", e.ToolVersion);
        json.WriteString("started", e.StartedUtc.UtcDateTime.ToString(Names.WallTime));
        json.WriteString("unit", e.UnitSerialNumber);
        json.WriteBoolean("simulated", e.IsSimulated);
        json.WriteString("previous", e.PreviousHead);
    }

    private static void WriteQuestion(Utf8JsonWriter json, Question q)
    {
        json.WriteNumber("question", q.Number);
        json.WriteString("asks", EnumWords<QuestionKind>.Of(q.Kind));
        json.WriteString("action", EnumWords<HandAction>.Of(q.Action));
        json.WriteString("text", q.Text);
        json.WriteString("mode", q.Mode);
        if (q.Setting is { } setting)
        {
            json.WriteNumber("setting", Number(setting.Value));
            json.WriteString("setting unit", EnumWords<Unit>.Of(setting.Unit));
        }
        else
        {
            json.WriteNull("setting");
            json.WriteNull("setting unit");
        }
        json.WriteString("unit", EnumWords<Unit>.Of(q.Unit));
    }

    private static void WriteAnswer(Utf8JsonWriter json, Answer answer)
    {
        json.WriteBoolean("yes", answer.Yes);
        if (answer.Number is { } number)
            json.WriteNumber("number", Number(number));
        else
            json.WriteNull("number");
        json.WriteString("remark", answer.Remark);
        json.WriteString("who", answer.Who);
    }

    private static void WriteStates(Utf8JsonWriter json, LoadStates s)
    {
        json.WriteString("outcome", EnumWords<CommandOutcome>.Of(s.Outcome));
        json.WriteString("detail", s.Detail);
        json.WriteNumber("commanded", s.Commanded.Mask);
        json.WriteNumber("contacts", s.Contacts.Mask);
        WriteMaybe(json, "air flow", s.HasAirFlow);
        WriteMaybe(json, "over temperature", s.IsOverTemperature);
        WriteMaybe(json, "stop healthy", s.IsStopHealthy);
        json.WriteNumber("timestamp", s.Timestamp);
    }

    private static void WriteMaybe(Utf8JsonWriter json, string name, bool? value)
    {
        if (value is { } known)
            json.WriteBoolean(name, known);
        else
            json.WriteNull(name);
    }

    private static double Number(double value) =>
        Math.Abs(value) < JournalFormat.LeastOverload
            ? value
            : throw new ArgumentException(
                $"{value} is no reading; what is missing or overloaded is flagged and has no value.",
                nameof(value)
            );

    private static long Nanoseconds(TimeSpan time)
    {
        return time.Ticks is >= 0 and <= JournalFormat.LatestNanoseconds / NanosecondsPerTick
            ? time.Ticks * NanosecondsPerTick
            : throw new ArgumentException(
                $"{time} lies before the opening of the run or more than ten years after it.",
                nameof(time)
            );
    }
}
