using System.Buffers;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using LoadTest.Records.Journaling;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Writing;

/// <summary>A record as <c>record.json</c>: one order of properties, one form of numbers, so the same record is the same bytes.</summary>
/// <remarks>
/// Where frames of the journal are missing, null says unknown, and every list ends where the trusted frames do. Nothing in it depends on when or where it is written. Signatures live beside it,
/// never in it.
/// </remarks>
public static class RecordJson
{
    /// <summary>Version of the schema, the first property of every record.</summary>
    public const int Schema = 1;

    /// <summary>Property that names the build a record was made by.</summary>
    internal const string VersionName = "version";

    private static readonly JsonWriterOptions s_options = new()
    {
        Indented = true,
        IndentSize = 1,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>The bytes, UTF-8, ending in one line feed.</summary>
    public static byte[] Write(RunRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        var buffer = new ArrayBufferWriter<byte>();
        using (var json = new Utf8JsonWriter(buffer, s_options))
        {
            json.WriteStartObject();
            json.WriteNumber("record", Schema);
            json.WriteString(VersionName, record.Version);
            Origin(json, record);
            Conclusion(json, record);
            json.Objects("judged", record.Judged, JudgedJson.Write);
            json.Objects("groups", record.Groups, GroupJson.Write);
            json.Objects("asked", record.Asked, Asked);
            Circumstances(json, record);
            json.WriteEndObject();
        }
        // A name may hold characters that steer the terminal the file is shown on.
        var text = VisibleText.OfJson(Encoding.UTF8.GetString(buffer.WrittenSpan));
        return [.. Encoding.UTF8.GetBytes(text), (byte)'\n'];
    }

    private static void Origin(Utf8JsonWriter json, RunRecord record)
    {
        var opened = record.Opened;
        json.WriteStartObject("run");
        json.WriteString("id", opened.RunId);
        json.WriteString("unit serial number", opened.UnitSerialNumber);
        json.WriteString("started", opened.StartedUtc.UtcDateTime.ToString(JournalFormat.WallTime));
        json.WriteBoolean("bench simulated", opened.IsSimulated);
        json.WriteString("simulated because", opened.IsSimulated ? ResultWords.Of(opened.Proof) : null);
        json.WriteString("measured by version", opened.ToolVersion);
        json.Time("duration, s", record.Duration);
        json.WriteEndObject();
        json.WriteStartObject("journal");
        json.WriteString("head", record.Head);
        json.WriteNumber("frames", record.Frames);
        json.WriteBoolean("whole", record.IsWhole);
        json.Time("last trusted entry at, s", record.LastAt);
        json.WriteString("first bad frame", record.Bad?.ToString());
        json.WriteString("previous run's head", opened.PreviousHead);
        json.WriteEndObject();
        json.Objects(
            "files",
            record.Files,
            static (j, f) =>
            {
                j.WriteString("role", EnumWords<FileRole>.Of(f.Role));
                j.WriteString("name", f.Name);
                j.WriteNumber("bytes", f.Bytes.Length);
                j.WriteString("sha-256", f.Sha256);
            }
        );
        json.WriteStartObject("plan");
        json.WriteString("profile", record.Plan?.Profile.Name);
        if (record.Plan is { } plan)
            json.WriteNumber("revision", plan.Profile.Revision);
        else
            json.WriteNull("revision");
        json.WriteString("unit type", record.Plan?.Nameplate.Name);
        json.WriteString("bench", record.Plan?.Bench.Name);
        json.WriteString("location", record.Plan?.Bench.Location);
        json.WriteEndObject();
    }

    private static void Conclusion(Utf8JsonWriter json, RunRecord record)
    {
        json.WriteStartObject("end");
        Word(json, "outcome", record.Outcome);
        json.WriteString("code", record.Closed?.Code);
        json.WriteString("detail", record.Closed?.Detail);
        json.YesNo("energised", record.WasEnergised);
        Word(json, "bank", record.Bank);
        json.WriteEndObject();
        json.WriteStartObject("verdict");
        json.WriteString("overall", ResultWords.Of(record.Overall.Verdict));
        json.Sentences("because", record.Overall.Because);
        json.WriteString("words", record.Overall.Words);
        json.WriteString("decision rule", record.DecisionRule);
        json.Number("coverage probability", record.Plan is null ? null : record.Coverage);
        json.WriteEndObject();
        json.WriteStartObject("claim");
        json.WriteString("kind", EnumWords<ClaimKind>.Of(record.Claim.Kind));
        json.Sentences("reasons", record.Claim.Reasons);
        json.WriteEndObject();
        json.Sentences("trouble", record.Trouble);
        json.Sentences("assumptions", record.Assumptions);
    }

    private static void Word<T>(Utf8JsonWriter json, string name, T? value)
        where T : struct, Enum
    {
        if (value is { } known)
            json.WriteString(name, EnumWords<T>.Of(known));
        else
            json.WriteNull(name);
    }

    private static void Asked(Utf8JsonWriter json, AskedResult asked)
    {
        json.WriteNumber("step", asked.Step.Number);
        json.WriteString("title", asked.Step.Title);
        json.WriteString("kind", EnumWords<AskKind>.Of(asked.Step.Kind));
        json.WriteBoolean("known", asked.IsKnown);
        json.Time("at, s", asked.At);
        json.WriteString("meter", asked.Step.Meter?.Instrument.Id);
        if (asked.Answer is not { } answer)
        {
            json.WriteNull("answer");
            return;
        }
        json.WriteStartObject("answer");
        json.WriteBoolean("yes", answer.Yes);
        json.Number("number", answer.Number);
        json.WriteString("typed", answer.Typed);
        json.WriteString("unit", ResultWords.Symbol(asked.Step.Unit));
        json.WriteString("remark", answer.Remark);
        json.WriteString("who", answer.Who);
        json.WriteEndObject();
    }

    private static void Circumstances(Utf8JsonWriter json, RunRecord record)
    {
        json.Objects("instruments", record.Instruments, Item);
        json.Objects(
            "gate",
            record.Gate,
            static (j, g) =>
            {
                j.Time("at, s", g.At);
                j.WriteString("check", g.Check);
                j.WriteBoolean("passed", g.Passed);
                j.WriteString("found", g.Found);
            }
        );
        json.Objects(
            "cautions acknowledged",
            record.Cautions,
            static (j, c) =>
            {
                j.Time("at, s", c.At);
                j.WriteString("caution", c.Caution);
                j.WriteString("text", c.Text);
                j.WriteString("who", c.Who);
            }
        );
        json.Objects(
            "events",
            record.Events,
            static (j, e) =>
            {
                j.Time("at, s", e.At);
                j.WriteString("kind", e.Kind);
                j.WriteString("text", e.Text);
            }
        );
    }

    private static void Item(Utf8JsonWriter json, BenchItem item)
    {
        json.WriteString("id", item.Id);
        json.WriteString("kind", item.Kind);
        json.WriteString("serial number", item.SerialNumber);
        json.WriteString("reads", item.Reads);
        json.WriteBoolean("judging", item.IsJudging);
        json.WriteBoolean("in date", item.IsInDate);
        json.WriteString("certificate", item.Certificate?.Number);
        json.WriteString("issued by", item.Certificate?.IssuedBy);
        json.WriteString("calibrated", item.Certificate?.Date.ToString("yyyy-MM-dd"));
        json.WriteString("due", item.Certificate?.Due.ToString("yyyy-MM-dd"));
    }
}
