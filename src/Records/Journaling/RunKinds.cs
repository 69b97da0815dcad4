using System.Globalization;
using System.Text.Json;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Journaling;

/// <summary>Entries about the run as such: opening, gate, steps, questions, ends.</summary>
internal static class RunKinds
{
    /// <summary>Word of the first entry, in every format.</summary>
    public const string Opened = "run opened";

    /// <summary>The kinds.</summary>
    public static readonly EntryKind[] All =
    [
        new EntryKind<RunOpened>(Opened, WriteOpened, ReadOpened),
        new EntryKind<FileEmbedded>(
            "file embedded",
            (json, e) =>
            {
                json.WriteWord("role", e.Role);
                json.WriteString("name", e.Name);
                json.WriteBase64String("bytes", e.Bytes.AsSpan());
            },
            (at, ref f) => new(at, f.Word<FileRole>("role"), f.Text("name"), f.Bytes("bytes"))
        ),
        new EntryKind<CautionAcknowledged>(
            "caution acknowledged",
            (json, e) =>
            {
                json.WriteString("caution", e.Caution);
                json.WriteString("text", e.Text);
                json.WriteString("who", e.Who);
            },
            (at, ref f) => new(at, f.Text("caution"), f.Text("text"), f.Text("who"))
        ),
        new EntryKind<GateChecked>(
            "gate checked",
            (json, e) =>
            {
                json.WriteString("check", e.Check);
                json.WriteBoolean("passed", e.Passed);
                json.WriteString("found", e.Found);
            },
            (at, ref f) => new(at, f.Text("check"), f.YesNo("passed"), f.Text("found"))
        ),
        new EntryKind<GatePassed>(
            "gate passed",
            (json, e) =>
            {
                json.WriteNumber("half", e.Half);
                json.WriteTime("valid for", e.ValidFor);
            },
            (at, ref f) => new(at, f.Integer("half"), f.Time("valid for"))
        ),
        new EntryKind<StepStarted>(
            "step started",
            (json, e) =>
            {
                json.WriteNumber("step", e.Step);
                json.WriteString("title", e.Title);
            },
            (at, ref f) => new(at, f.Integer("step"), f.Text("title"))
        ),
        new EntryKind<StepEnded>(
            "step ended",
            (json, e) =>
            {
                json.WriteNumber("step", e.Step);
                json.WriteString("remark", e.Remark);
            },
            (at, ref f) => new(at, f.Integer("step"), f.Text("remark"))
        ),
        new EntryKind<Asked>(
            "asked",
            (json, e) => WriteQuestion(json, e.Question),
            (at, ref f) => new(at, ReadQuestion(ref f))
        ),
        new EntryKind<Answered>(
            "answered",
            (json, e) =>
            {
                json.WriteNumber("question", e.Question);
                WriteAnswer(json, e.Answer);
            },
            (at, ref f) => new(at, f.Integer("question"), ReadAnswer(ref f))
        ),
        new EntryKind<PointMeasured>(
            "point measured",
            (json, e) =>
            {
                json.WriteNumber("step", e.Step);
                json.WriteTime("from", e.From);
                json.WriteTime("to", e.To);
                json.WriteBoolean("settled", e.HasSettled);
                json.WriteString("words", e.Words);
            },
            (at, ref f) => new(at, f.Integer("step"), f.Time("from"), f.Time("to"), f.YesNo("settled"), f.Text("words"))
        ),
        new EntryKind<Tripped>(
            "tripped",
            (json, e) =>
            {
                json.WriteString("code", e.Code);
                json.WriteString("detail", e.Detail);
            },
            (at, ref f) => new(at, f.Text("code"), f.Text("detail"))
        ),
        new EntryKind<Stopped>(
            "stopped",
            (json, e) =>
            {
                json.WriteString("who", e.Who);
                json.WriteString("detail", e.Detail);
            },
            (at, ref f) => new(at, f.Text("who"), f.Text("detail"))
        ),
        new EntryKind<Remarked>(
            "remarked",
            (json, e) => json.WriteString("text", e.Text),
            (at, ref f) => new(at, f.Text("text"))
        ),
        new EntryKind<ClockMoved>(
            "clock moved",
            (json, e) => json.WriteNumber("by", e.By.Ticks * JournalFormat.NanosecondsPerTick),
            (at, ref f) => new(at, TimeSpan.FromTicks(f.Long("by") / JournalFormat.NanosecondsPerTick))
        ),
        new EntryKind<RunClosed>(
            "run closed",
            (json, e) =>
            {
                json.WriteWord("outcome", e.Outcome);
                json.WriteString("code", e.Code);
                json.WriteString("detail", e.Detail);
                json.WriteWord("bank", e.Bank);
            },
            (at, ref f) =>
                new(at, f.Word<Outcome>("outcome"), f.Text("code"), f.Text("detail"), f.Word<BankEnd>("bank"))
        ),
    ];

    private static void WriteOpened(Utf8JsonWriter json, RunOpened e)
    {
        json.WriteNumber(JournalFormat.FormatName, JournalFormat.Version);
        json.WriteString("run", e.RunId);
        json.WriteString("version", e.ToolVersion);
        json.WriteString("started", e.StartedUtc.UtcDateTime.ToString(JournalFormat.WallTime));
        json.WriteString("unit", e.UnitSerialNumber);
        json.WriteBoolean("simulated", e.IsSimulated);
        json.WriteString("previous", e.PreviousHead);
        // Not in format 1, and only at a simulated bench.
        if (e.Proof is { } proof)
            json.WriteWord("proof", proof);
    }

    private static RunOpened ReadOpened(TimeSpan at, ref EntryFields f)
    {
        // A higher one is seen before the entry is read: it may have other properties.
        var format = f.Integer(JournalFormat.FormatName);
        if (format is < 1 or > JournalFormat.Version)
            throw new FormatException($"journal format {format}; formats 1 to {JournalFormat.Version} are known");
        return new RunOpened(
            at,
            f.Text("run"),
            f.Text("version"),
            DateTimeOffset.ParseExact(
                f.Text("started"),
                JournalFormat.WallTime,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal
            ),
            f.Text("unit"),
            f.YesNo("simulated"),
            f.Text("previous")
        )
        {
            Proof = f.TextIfNext("proof") is { } proof ? EnumWords<SimulationProof>.Parse(proof) : null,
        };
    }

    private static void WriteQuestion(Utf8JsonWriter json, Question q)
    {
        json.WriteNumber("question", q.Number);
        json.WriteWord("asks", q.Kind);
        json.WriteWord("action", q.Action);
        json.WriteString("text", q.Text);
        json.WriteString("mode", q.Mode);
        json.WriteReal("setting", q.Setting?.Value);
        if (q.Setting is { } setting)
            json.WriteWord("setting unit", setting.Unit);
        else
            json.WriteNull("setting unit");
        json.WriteWord("unit", q.Unit);
    }

    private static Question ReadQuestion(ref EntryFields f)
    {
        var number = f.Integer("question");
        var kind = f.Word<QuestionKind>("asks");
        var action = f.Word<HandAction>("action");
        var text = f.Text("text");
        var mode = f.MaybeText("mode");
        var setting = f.MaybeNumber("setting");
        var settingUnit = f.MaybeText("setting unit");
        if (setting is null != settingUnit is null)
            throw new FormatException("a setting and its unit come together");
        Quantity? quantity = setting is { } value ? new Quantity(value, EnumWords<Unit>.Parse(settingUnit!)) : null;
        return new Question(number, kind, action, text, mode, quantity, f.Word<Unit>("unit"));
    }

    /// <summary>An answer, also one that corrects another.</summary>
    public static void WriteAnswer(Utf8JsonWriter json, Answer answer)
    {
        json.WriteBoolean("yes", answer.Yes);
        json.WriteReal("number", answer.Number);
        json.WriteString("remark", answer.Remark);
        json.WriteString("who", answer.Who);
        // Not in format 1, and only where a number was typed.
        if (answer.Typed is { } typed)
            json.WriteString("typed", typed);
    }

    /// <summary>The same, read.</summary>
    public static Answer ReadAnswer(ref EntryFields f) =>
        new(f.YesNo("yes"), f.MaybeNumber("number"), f.Text("remark"), f.Text("who")) { Typed = f.TextIfNext("typed") };
}
