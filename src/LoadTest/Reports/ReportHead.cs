using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Reports;

/// <summary>The head of a report: what was tested, the verdict, how the run ended.</summary>
internal static class ReportHead
{
    private const int ShortHash = 16;

    public static void Write(HtmlText page, RunRecord record)
    {
        page.Element("h1", "Test report");
        page.Element(
            "p",
            record.Plan is { } plan
                ? $"{plan.Profile.Name}, revision {plan.Profile.Revision}. Not issued under accreditation."
                : "Not issued under accreditation.",
            "sub"
        );
        Facts(page, record);
        Verdict(page, record);
        if (record.Bank is null or BankEnd.OffNotConfirmed)
        {
            page.Element(
                "p",
                $"{(record.Bank is null ? "WHETHER THE LOAD IS OFF IS UNKNOWN" : "LOAD OFF WAS NOT CONFIRMED")}. {OffWords.Instruction}",
                "alarm"
            );
        }
        page.Sentences(record.Trouble, "alarm");
        FoundAndLeft(page, record);
    }

    private static void Facts(HtmlText page, RunRecord record)
    {
        page.Open("dl", "facts");
        Fact(page, "unit", record.Plan?.Nameplate.Name ?? "not known");
        Fact(page, "serial number", record.Opened.UnitSerialNumber);
        Fact(page, "run", record.Opened.RunId);
        Fact(page, "started", record.Opened.StartedUtc.UtcDateTime.ToString("yyyy-MM-dd HH:mm 'UTC'"));
        Fact(page, "bench", record.Plan?.Bench.Name ?? "not known");
        Fact(page, "location", record.Plan?.Bench.Location ?? "not given");
        Fact(page, "duration", Lasted(record));
        Fact(page, "journal", $"{record.Frames} frames, head {record.Head[..ShortHash]}…");
        Fact(page, "claim", record.Claim.Kind.ToString().ToLowerInvariant());
        Fact(page, "answered by", By(record));
        if (record.Opened.IsSimulated)
            Fact(page, "simulated because", ResultWords.Of(record.Opened.Proof));
        Fact(page, "program", $"measured by {record.Opened.ToolVersion}, concluded by {record.Version}");
        page.Close("dl");
    }

    private static string Lasted(RunRecord record) =>
        $"{(record.IsWhole ? "" : "unknown, at least ")}{ReportNumber.Duration(record.LastAt)}";

    private static string By(RunRecord record)
    {
        var names = record
            .Cautions.Select(c => c.Who)
            .Concat(record.Asked.Select(a => a.Answer?.Who ?? ""))
            .Where(n => n.Length > 0)
            .Distinct(StringComparer.Ordinal)
            .ToArray();
        return (record.IsWhole, names.Length) switch
        {
            (true, 0) => "nobody",
            (false, 0) => "unknown",
            (true, _) => string.Join(", ", names),
            _ => $"{string.Join(", ", names)}; whoever else is unknown",
        };
    }

    private static void Fact(HtmlText page, string name, string value) =>
        page.Open("div").Element("dt", name).Element("dd", value).Close("div");

    private static void Verdict(HtmlText page, RunRecord record)
    {
        var word = ResultWords.Of(record.Overall.Verdict);
        var failed = AsFound(record);
        page.Open("div", $"verdict {word}").Open("div", "word").Element("b", word);
        if (failed.Length > 0 && failed.All(j => j.IsSuperseded == true))
            page.Element("span", "as left");
        page.Close("div").Open("div");
        page.Element("p", record.Overall.Words);
        if (failed.Length > 0)
            page.Element("p", Said(failed), "found");
        page.Element("p", $"{Ended(record)} {Bank(record)}");
        page.Element("p", string.Join(' ', record.Claim.Reasons), "small");
        page.Close("div").Close("div");
    }

    // The failure that was mended is the one a customer and an auditor want to know of.
    private static JudgedResult[] AsFound(RunRecord record) =>
        [
            .. record.Judged.Where(j =>
                j
                    is {
                        Condition: Condition.AsFound,
                        Judgement.Verdict: not (Analysis.Decision.Verdict.Pass or Analysis.Decision.Verdict.Unknown)
                    }
            ),
        ];

    private static string Said(JudgedResult[] failed)
    {
        var verdicts = failed.Select(j => ResultWords.Of(j.Judgement.Verdict)).Distinct(StringComparer.Ordinal);
        return $"As found: {string.Join(" and ", verdicts)}. {string.Join("; ", failed.Select(Short))}.";
    }

    private static string Short(JudgedResult judged) =>
        judged.Judgement.Estimate is null
            ? ResultWords.Of(judged.Measurand)
            : $"{ResultWords.Of(judged.Measurand)} {ReportVerdicts.Result(judged)}{Error(judged)}, allowed {ReportVerdicts.Allowed(judged)}";

    private static string Ended(RunRecord record) =>
        record.Outcome switch
        {
            Outcome.Complete => "The run was completed.",
            Outcome.Tripped when record.Bank == BankEnd.OffNotConfirmed =>
                $"The tool tripped and asked for all-off ({record.Closed!.Code}): {SentenceText.Of(record.Closed.Detail)}",
            Outcome.Tripped =>
                $"The tool removed the load ({record.Closed!.Code}): {SentenceText.Of(record.Closed.Detail)}",
            Outcome.Stopped => $"The run was stopped: {SentenceText.Of(record.Closed!.Detail)}",
            Outcome.Refused => $"The gate refused ({record.Closed!.Code}): {SentenceText.Of(record.Closed.Detail)}",
            Outcome.Failed => $"The run failed ({record.Closed!.Code}): {SentenceText.Of(record.Closed.Detail)}",
            Outcome.Interrupted =>
                $"The run was interrupted ({record.Closed!.Code}): {SentenceText.Of(record.Closed.Detail)}",
            _ => "How the run ended is unknown.",
        };

    private static string Bank(RunRecord record) =>
        record.Bank switch
        {
            null when record.WasEnergised == true =>
                "The load bank was energised; whether it was found off is unknown.",
            null => "Whether the load bank was energised, and whether it was found off, is unknown.",
            BankEnd.NeverEnergised => "The load bank was never energised.",
            BankEnd.Off => $"The load was confirmed off{Found(record)}.",
            _ => $"The load was not confirmed off{Found(record)}.",
        };

    private static string Found(RunRecord record) => record.Off is { } off ? $": {off.Words}" : "";

    // One line for every limit that was judged both before and after adjustment.
    private static void FoundAndLeft(HtmlText page, RunRecord record)
    {
        var found = record.Judged.Where(j => j.Condition == Condition.AsFound).ToArray();
        if (found.Length == 0)
            return;
        page.Element("h3", "As found and as left");
        page.Table("", "quantity", "limit", "#as found", "verdict", "#as left", "verdict");
        foreach (var before in found)
        {
            var after = record.Judged.FirstOrDefault(j =>
                j.Condition == Condition.AsLeft && j.Measurand == before.Measurand && j.Limit.Text == before.Limit.Text
            );
            page.Open("tr").Element("td", ResultWords.Of(before.Measurand)).Element("td", before.Limit.Text);
            Cells(page, before);
            Cells(page, after);
            page.Close("tr");
        }
        page.EndTable();
    }

    // A ratio is spoken of by how far off it is.
    private static string Error(JudgedResult judged)
    {
        var limit = judged.Judgement.Limit;
        if (judged.Measurand != Measurand.ShuntRatio || !limit.IsTwoSided || judged.Judgement.Estimate is not { } e)
            return "";
        var off = 100 * (2 * e.Value / (limit.Lower + limit.Upper) - 1);
        return $" ({(off > 0 ? "+" : "")}{ReportNumber.Fixed(off, 2)} %)";
    }

    private static void Cells(HtmlText page, JudgedResult? judged)
    {
        if (judged is null)
        {
            page.Element("td", "not measured", "n").Element("td", "");
            return;
        }
        page.Element("td", $"{ReportVerdicts.Result(judged)}{Error(judged)}", "n");
        Report.VerdictCell(page, judged.Judgement.Verdict);
    }
}
