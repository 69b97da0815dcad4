using LoadTest.Records;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Reports;

/// <summary>Under what circumstances: instruments, gate, cautions, events, files, and what this page is and is not.</summary>
internal static class ReportCircumstances
{
    public static void Write(HtmlText page, RunRecord record)
    {
        Instruments(page, record);
        Cautions(page, record);
        Gate(page, record);
        Events(page, record);
        Files(page, record);
        page.Element("h2", "About this report");
        page.Sentences(
            [
                "Results relate only to the item tested, in the condition in which it was tested.",
                "Not issued under accreditation. Nothing in it is a recommendation on a recalibration interval.",
                "Expanded uncertainties hold at the coverage probability named above; values are rounded by JCGM 100:2008, 7.2.6, and stand in the record to ten digits.",
                "The tool that ran this test replaces neither the hard-wired emergency stop nor local codes nor qualified people. The studs of a unit stay live until its engine has stopped and the voltage is measured.",
                "Reproduce in full only. The record and the journal beside this page can be checked with the command \"verify\".",
            ],
            "small"
        );
    }

    private static void Instruments(HtmlText page, RunRecord record)
    {
        if (record.Instruments.IsEmpty)
            return;
        page.Element("h2", "Instruments");
        page.Table("", "instrument", "serial number", "reads", "certificate", "#of", "#due", "#on the day");
        foreach (var item in record.Instruments)
        {
            page.Row(
                $"{item.Id}: {item.Kind}",
                item.SerialNumber ?? "–",
                item.Reads,
                item.Certificate is { } c ? $"{c.Number}, {c.IssuedBy}" : "none",
                $"#{(item.Certificate is { } from ? from.Date.ToString("yyyy-MM-dd") : "–")}",
                $"#{(item.Certificate is { } d ? d.Due.ToString("yyyy-MM-dd") : "–")}",
                item.Certificate is null
                    ? item.IsJudging
                        ? "#NOT CALIBRATED"
                        : "#no results"
                    : item.IsInDate
                        ? "#in date"
                        : "#OUT OF DATE"
            );
        }
        page.EndTable();
    }

    private static void Cautions(HtmlText page, RunRecord record)
    {
        page.Element("h2", "Cautions acknowledged");
        if (record.Cautions.IsEmpty)
        {
            page.Element(
                "p",
                record.IsWhole
                    ? "None were: nothing may have been energised."
                    : "Unknown: the trusted frames hold none."
            );
            return;
        }
        var people = record.Cautions.Select(c => c.Who).Distinct(StringComparer.Ordinal).ToArray();
        var isOne = people.Length == 1;
        if (isOne)
            page.Element("p", $"All {record.Cautions.Length} by {people[0]}, one by one.", "small");
        page.Table("", [.. Columns(isOne, "by", "caution", "as shown", "#min:s")]);
        foreach (var caution in record.Cautions)
        {
            var time = $"#{ReportNumber.Time(caution.At)}";
            page.Row([.. Columns(isOne, caution.Who, caution.Caution, caution.Text, time)]);
        }
        page.EndTable();
        Unfinished(page, record);
    }

    private static void Gate(HtmlText page, RunRecord record)
    {
        if (record.Gate.IsEmpty)
            return;
        page.Element("h2", "What the gate proved");
        var isPassed = record.Gate.All(f => f.Passed);
        if (isPassed)
            page.Element("p", $"All {record.Gate.Length} checks passed.", "small");
        page.Table("", [.. Columns(isPassed, "result", "check", "found", "#min:s")]);
        foreach (var fact in record.Gate)
        {
            var (result, time) = (fact.Passed ? "passed" : "REFUSED", $"#{ReportNumber.Time(fact.At)}");
            page.Row([.. Columns(isPassed, result, fact.Check, fact.Found, time)]);
        }
        page.EndTable();
        Unfinished(page, record);
    }

    // What is the same in every line is said once above the table and has no column, else it stands before the time.
    private static IEnumerable<string> Columns(bool isSaid, string same, params string[] others) =>
        isSaid ? others : [.. others[..^1], same, others[^1]];

    private static void Events(HtmlText page, RunRecord record)
    {
        page.Element("h2", "Events");
        page.Table("", "#min:s", "event", "what happened");
        foreach (var one in record.Events)
            page.Row($"#{ReportNumber.Time(one.At)}", one.Kind, one.Text);
        page.EndTable();
        Unfinished(page, record);
    }

    // A list that ends where the trusted frames do must not look complete.
    private static void Unfinished(HtmlText page, RunRecord record)
    {
        if (!record.IsWhole)
            page.Element(
                "p",
                $"The trusted frames end at {ReportNumber.Time(record.LastAt)}; what followed is unknown.",
                "small"
            );
    }

    private static void Files(HtmlText page, RunRecord record)
    {
        page.Element("h2", "Files");
        page.Element(
            "p",
            "The journal embeds the bytes of every file the run depended on; these are their SHA-256.",
            "small"
        );
        page.Table("", "role", "name", "SHA-256");
        foreach (var file in record.Files)
        {
            page.Open("tr").Element("td", Role(file.Role)).Element("td", file.Name, "id");
            page.Element("td", file.Sha256, "mono").Close("tr");
        }
        page.Open("tr").Element("td", "journal").Element("td", $"head, {record.Frames} frames");
        page.Element("td", record.Head, "mono").Close("tr");
        page.EndTable();
    }

    private static string Role(FileRole role) => role.ToString().ToLowerInvariant();
}
