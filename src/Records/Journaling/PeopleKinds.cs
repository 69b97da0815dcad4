using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>Entries of format 2 about what people find, say, correct and hand in.</summary>
internal static class PeopleKinds
{
    /// <summary>The kinds.</summary>
    public static readonly EntryKind[] All =
    [
        new EntryKind<FindingMade>(
            "finding made",
            (json, e) =>
            {
                json.WriteNumber("step", e.Step);
                json.WriteString("who", e.Who);
                json.WriteString("text", e.Text);
            },
            (at, ref f) => new(at, f.Integer("step"), f.Text("who"), f.Text("text"))
        ),
        new EntryKind<AnswerCorrected>(
            "answer corrected",
            (json, e) =>
            {
                json.WriteNumber("question", e.Question);
                RunKinds.WriteAnswer(json, e.Answer);
                json.WriteString("why", e.Why);
            },
            (at, ref f) => new(at, f.Integer("question"), RunKinds.ReadAnswer(ref f), f.Filled("why"))
        ),
        new EntryKind<Noted>(
            "noted",
            (json, e) =>
            {
                json.WriteString("who", e.Who);
                json.WriteString("text", e.Text);
            },
            (at, ref f) => new(at, f.Text("who"), f.Text("text"))
        ),
        new EntryKind<AlarmRaised>(
            "alarm raised",
            (json, e) =>
            {
                json.WriteNumber("alarm", e.Alarm);
                json.WriteString("code", e.Code);
                json.WriteString("text", e.Text);
            },
            (at, ref f) => new(at, f.Integer("alarm"), f.Text("code"), f.Text("text"))
        ),
        new EntryKind<AlarmAnswered>(
            "alarm answered",
            (json, e) =>
            {
                json.WriteNumber("alarm", e.Alarm);
                json.WriteString("who", e.Who);
                json.WriteString("did", e.Did);
            },
            (at, ref f) => new(at, f.Integer("alarm"), f.Filled("who"), f.Text("did"))
        ),
        new EntryKind<HandSwitched>(
            "hand switched",
            (json, e) =>
            {
                json.WriteNumber("elements", e.Elements.Mask);
                json.WriteString("who", e.Who);
            },
            (at, ref f) => new(at, f.Elements("elements"), f.Filled("who"))
        ),
        new EntryKind<AcknowledgementTakenOver>(
            "acknowledgement taken over",
            (json, e) =>
            {
                json.WriteString("caution", e.Caution);
                json.WriteString("who", e.Who);
                json.WriteString("run", e.RunId);
                json.WriteHash("frame", e.Frame);
            },
            (at, ref f) => new(at, f.Text("caution"), f.Text("who"), f.Text("run"), f.Hash("frame"))
        ),
        new EntryKind<JobNamed>(
            "job named",
            (json, e) =>
            {
                json.WriteString("customer", e.Customer);
                json.WriteString("order", e.Order);
                json.WriteReal("hours", e.Hours);
                json.WriteString("receipt", e.Receipt);
            },
            (at, ref f) => new(at, f.Text("customer"), f.Text("order"), f.MaybeNumber("hours"), f.Text("receipt"))
        ),
        new EntryKind<AdjustmentJudged>(
            "adjustment judged",
            (json, e) =>
            {
                json.WriteNumber("step", e.Step);
                json.WriteWord("verdict", e.Verdict);
                json.WriteString("who", e.Who);
                json.WriteString("text", e.Text);
            },
            (at, ref f) =>
                new(at, f.Integer("step"), f.Word<AdjustmentVerdict>("verdict"), f.Text("who"), f.Text("text"))
        ),
        new EntryKind<FileAttached>(
            "file attached",
            (json, e) =>
            {
                json.WriteString("name", e.Name);
                json.WriteNumber("length", e.Length);
                json.WriteHash("sha256", e.Sha256);
            },
            (at, ref f) => new(at, f.Filled("name"), f.Count("length"), f.Hash("sha256"))
        ),
        new EntryKind<HeatSampled>(
            "heat sampled",
            (json, e) =>
            {
                json.WriteNumber("step", e.Step);
                json.WriteReal("celsius", e.Celsius);
                json.WriteTime("from", e.From);
                json.WriteTime("to", e.To);
            },
            (at, ref f) => new(at, f.Integer("step"), f.Number("celsius"), f.Time("from"), f.Time("to"))
        ),
    ];
}
