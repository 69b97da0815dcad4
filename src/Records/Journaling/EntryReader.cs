using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Journaling;

/// <summary>JSON to journal entries: exactly the properties the writer writes, in its order, and nothing after.</summary>
internal static class EntryReader
{
    private const long NanosecondsPerTick = 100;

    /// <summary>Reads one payload.</summary>
    /// <exception cref="UnknownKindException">The kind is none this version knows.</exception>
    /// <exception cref="FormatException">The payload is not what the writer writes, or not JSON at all.</exception>
    public static JournalEntry Read(ReadOnlySpan<byte> payload)
    {
        try
        {
            var fields = new EntryFields(payload);
            var kind = fields.Text("kind");
            var at = fields.Time("at");
            var entry = kind == "scanned" ? new Scanned(at, Readings(ref fields)) : Body(kind, at, ref fields);
            fields.End();
            return entry;
        }
        catch (Exception e) when (e is JsonException or OverflowException or InvalidOperationException)
        {
            throw new FormatException(e.Message, e);
        }
    }

    private static JournalEntry Body(string kind, TimeSpan at, ref EntryFields f) =>
        kind switch
        {
            "run opened" => Opened(at, ref f),
            "file embedded" => new FileEmbedded(at, f.Word<FileRole>("role"), f.Text("name"), f.Bytes("bytes")),
            "caution acknowledged" => new CautionAcknowledged(at, f.Text("caution"), f.Text("text"), f.Text("who")),
            "gate checked" => new GateChecked(at, f.Text("check"), f.YesNo("passed"), f.Text("found")),
            "gate passed" => new GatePassed(at, f.Integer("half"), f.Time("valid for")),
            "step started" => new StepStarted(at, f.Integer("step"), f.Text("title")),
            "step ended" => new StepEnded(at, f.Integer("step"), f.Text("remark")),
            "asked" => new Asked(at, AskedQuestion(ref f)),
            "answered" => new Answered(at, f.Integer("question"), GivenAnswer(ref f)),
            "switch intended" => new SwitchIntended(at, f.Integer("command"), Elements(ref f, "elements")),
            "switch ended" => new SwitchEnded(
                at,
                f.Integer("command"),
                new CommandResult(f.Word<CommandOutcome>("outcome"), f.Text("detail"))
            ),
            "output intended" => new OutputIntended(at, f.Integer("command"), f.YesNo("on")),
            "output switched" => new OutputSwitched(
                at,
                f.Integer("command"),
                new CommandResult(f.Word<CommandOutcome>("outcome"), f.Text("detail")),
                f.YesNo("closed")
            ),
            "states read" => new StatesRead(at, States(ref f)),
            "load removed" => new LoadRemoved(at, new RemovalCause(f.Text("code"), f.Text("detail"))),
            "load off" => new LoadOff(at, f.YesNo("confirmed"), f.Text("detail")),
            "point measured" => new PointMeasured(
                at,
                f.Integer("step"),
                f.Time("from"),
                f.Time("to"),
                f.YesNo("settled"),
                f.Text("words")
            ),
            "tripped" => new Tripped(at, f.Text("code"), f.Text("detail")),
            "stopped" => new Stopped(at, f.Text("who"), f.Text("detail")),
            "remarked" => new Remarked(at, f.Text("text")),
            "clock moved" => new ClockMoved(at, TimeSpan.FromTicks(f.Long("by") / NanosecondsPerTick)),
            "run closed" => new RunClosed(
                at,
                f.Word<Outcome>("outcome"),
                f.Text("code"),
                f.Text("detail"),
                f.Word<BankEnd>("bank")
            ),
            _ => throw new UnknownKindException(kind),
        };

    private static RunOpened Opened(TimeSpan at, ref EntryFields f)
    {
        var version = f.Integer("journal");
        if (version != JournalFormat.Version)
        {
            throw new FormatException($"journal format {version}; this version reads format {JournalFormat.Version}");
        }
        return new RunOpened(
            at,
            f.Text("run"),
            f.Text("version"),
            DateTimeOffset.ParseExact(
                f.Text("started"),
                Names.WallTime,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal
            ),
            f.Text("unit"),
            f.YesNo("simulated"),
            f.Text("previous")
        );
    }

    private static Question AskedQuestion(ref EntryFields f)
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

    private static Answer GivenAnswer(ref EntryFields f) =>
        new(f.YesNo("yes"), f.MaybeNumber("number"), f.Text("remark"), f.Text("who"));

    private static LoadStates States(ref EntryFields f) =>
        new(
            f.Word<CommandOutcome>("outcome"),
            f.Text("detail"),
            Elements(ref f, "commanded"),
            Elements(ref f, "contacts"),
            f.MaybeYesNo("air flow"),
            f.MaybeYesNo("over temperature"),
            f.MaybeYesNo("stop healthy"),
            f.Long("timestamp")
        );

    private static ElementSet Elements(ref EntryFields f, string name) => new((uint)f.Long(name));

    private static ImmutableArray<Reading> Readings(ref EntryFields f)
    {
        var readings = ImmutableArray.CreateBuilder<Reading>(8);
        f.StartArray("readings");
        while (f.NextIsArray())
        {
            var channel = f.IntegerItem();
            var value = f.MaybeNumberItem();
            var at = f.TimeItem();
            var flag = value is null ? f.WordItem<IndicationFlag>() : IndicationFlag.Good;
            if (value is null && flag == IndicationFlag.Good)
                throw new FormatException("a good reading has a value");
            f.EndArrayItem();
            readings.Add(new Reading(channel, value ?? 0, flag, at));
        }
        return readings.DrainToImmutable();
    }
}
