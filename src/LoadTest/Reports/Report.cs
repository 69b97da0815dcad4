using LoadTest.Analysis.Decision;
using LoadTest.Records;

namespace LoadTest.Reports;

/// <summary>A run's record as one self-contained page that prints on A4; the same record is the same page.</summary>
public static class Report
{
    /// <summary>Mark on every page when the bench was simulated.</summary>
    public const string SimulatedMark = "SIMULATED BENCH: nothing here says anything about a real unit";

    /// <summary>The page.</summary>
    /// <param name="record">What was concluded from the run.</param>
    /// <param name="pictures">Its pictures; see <see cref="RunPlots"/>.</param>
    /// <param name="note">What is to be known of the files beside it, a sentence; empty for nothing.</param>
    public static string Write(RunRecord record, IReadOnlyList<RunPicture> pictures, string note = "")
    {
        ArgumentNullException.ThrowIfNull(record);
        ArgumentNullException.ThrowIfNull(pictures);
        var page = new HtmlText();
        var isSimulated = record.Opened.IsSimulated;
        page.Markup("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n")
            .Markup("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
            .Element("title", $"Test report {record.Opened.RunId}")
            .Markup("<style>\n")
            .Markup(ReportStyle.For(record.Opened.RunId, isSimulated ? SimulatedMark : ""))
            .Markup("</style>\n</head>\n")
            .Open("body", isSimulated ? "simulated" : "")
            .Markup("\n");
        if (isSimulated)
            page.Element("div", SimulatedMark, "mark");
        if (note.Length > 0)
            page.Element("p", note, "alarm");
        ReportHead.Write(page, record);
        ReportVerdicts.Write(page, record);
        ReportGroups.Write(page, record, pictures);
        ReportBudgets.Write(page, record);
        ReportCircumstances.Write(page, record);
        page.Element("p", $"End of test report, run {record.Opened.RunId}.", "end");
        return page.Markup("</body>\n</html>\n").ToString();
    }

    /// <summary>A cell with a verdict, in words and colour.</summary>
    internal static void VerdictCell(HtmlText page, Verdict verdict) =>
        page.Element(
            "td",
            ResultWords.Of(verdict),
            $"v {ResultWords.Of(verdict).Replace(" ", "", StringComparison.Ordinal)}"
        );
}
