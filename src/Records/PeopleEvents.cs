using System.Globalization;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records;

/// <summary>What people found, said, corrected and handed in, as events of the report.</summary>
internal static class PeopleEvents
{
    /// <summary>The event of an entry; null when it is none of these.</summary>
    public static RunEvent? Of(JournalEntry entry) =>
        entry switch
        {
            FindingMade e => Event(e, "finding", $"{(e.Step > 0 ? $"step {e.Step}: " : "")}{e.Text}{By(e.Who)}"),
            AnswerCorrected e => Event(
                e,
                "correction",
                $"answer to question {e.Question}: now {Words(e.Answer)}; reason: {e.Why}{By(e.Answer.Who)}"
            ),
            Noted e => Event(e, "note", $"{e.Text}{By(e.Who)}"),
            AlarmRaised e => Event(e, "ALARM", $"{e.Alarm}, {e.Code}: {e.Text}"),
            AlarmAnswered e => Event(e, "alarm answered", $"{e.Alarm}: {e.Did}{By(e.Who)}"),
            HandSwitched e => Event(
                e,
                "hand switches",
                $"{(e.Elements.IsEmpty ? "all off" : $"{e.Elements} on")}{By(e.Who)}"
            ),
            AcknowledgementTakenOver e => Event(
                e,
                "caution",
                $"{e.Caution}: acknowledged earlier in the shift, in run {e.RunId}{By(e.Who)}"
            ),
            JobNamed e => Event(e, "job", Words(e)),
            AdjustmentJudged e => Event(e, "adjustment", $"step {e.Step}: {Words(e.Verdict)}; {e.Text}{By(e.Who)}"),
            FileAttached e => Event(e, "attached", $"{e.Name}, {e.Length} bytes, SHA-256 {e.Sha256}"),
            _ => null,
        };

    private static RunEvent Event(JournalEntry entry, string kind, string text) => new(entry.At, kind, text);

    private static string By(string who) => who.Length > 0 ? $" ({who})" : "";

    private static string Words(Answer answer)
    {
        var said =
            answer.Number is { } number ? number.ToString(CultureInfo.InvariantCulture)
            : answer.Yes ? "yes"
            : "no";
        return answer.Remark.Length > 0 ? $"{said}, {answer.Remark}" : said;
    }

    private static string Words(AdjustmentVerdict verdict) =>
        verdict switch
        {
            AdjustmentVerdict.NotNeeded => "not needed",
            AdjustmentVerdict.Needed => "needed",
            AdjustmentVerdict.Done => "done",
            _ => "given up",
        };

    private static string Words(JobNamed job)
    {
        string[] parts =
        [
            job.Customer.Length > 0 ? $"customer {job.Customer}" : "",
            job.Order.Length > 0 ? $"order {job.Order}" : "",
            job.Hours is { } hours
                ? string.Create(CultureInfo.InvariantCulture, $"{hours} h by the unit's counter")
                : "",
            job.Receipt,
        ];
        return string.Join("; ", parts.Where(p => p.Length > 0));
    }
}
