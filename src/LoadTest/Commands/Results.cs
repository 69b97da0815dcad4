using System.Text.Json.Nodes;
using LoadTest.Analysis.Decision;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Reports;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>How a run ended, for a person and for a program that reads JSON.</summary>
internal static class Results
{
    /// <summary>The exit code a record stands for.</summary>
    public static ExitCode Exit(RunRecord record) =>
        record.Bad is not null ? ExitCode.RecordTrouble
        : record.Closed is not { } closed ? ExitCode.RecordTrouble
        : closed.Outcome switch
        {
            Outcome.Complete => record.Overall.Verdict == OverallVerdict.Pass ? ExitCode.Pass : ExitCode.NotPassed,
            Outcome.Refused => ExitCode.Refused,
            Outcome.Interrupted when closed.Code == "DISK" => ExitCode.RecordTrouble,
            _ => ExitCode.Ended,
        };

    /// <summary>Verdicts first, then how the run ended, then where everything lies, last what a person has to do now.</summary>
    public static void Show(Screen screen, RunRecord record, RunFolder folder)
    {
        screen.Line();
        if (!record.Judged.IsEmpty)
            screen.Table(Verdicts(record));
        screen.Line();
        screen.Line(Ending(record));
        screen.Line($"{record.Overall.Words}");
        if (record.Opened.IsSimulated)
            screen.Line(Report.SimulatedMark + ".");
        screen.Line($"Report: {folder.Report}");
        screen.Line($"Folder: {folder.Path} (journal, record.json, readings.csv, plots)");
        if (ToDo(record) is { } now)
        {
            screen.Line();
            screen.Line(now);
        }
        Describe(screen.Document, record, folder);
    }

    /// <summary>What has to be done at the bench after a removal, confirmed or not; null after any other end.</summary>
    public static string? ToDo(RunRecord record) =>
        record.Bank switch
        {
            null => $"WHETHER THE LOAD IS OFF IS UNKNOWN. {OffWords.Instruction}",
            BankEnd.OffNotConfirmed => $"LOAD OFF NOT CONFIRMED. {OffWords.Instruction}",
            BankEnd.Off when record.Outcome != Outcome.Complete => OffWords.StillLive,
            _ => null,
        };

    private static string Ending(RunRecord record)
    {
        var bank = record.Bank switch
        {
            BankEnd.NeverEnergised => "the bank was never energised",
            BankEnd.Off => "the bank was read off and the current gone",
            BankEnd.OffNotConfirmed => "LOAD OFF NOT CONFIRMED",
            _ => "WHETHER THE LOAD IS OFF IS UNKNOWN",
        };
        return record.Closed is not { } closed
                ? $"Run {record.Opened.RunId}: its journal does not say how it ended, after {ReportNumber.Duration(record.LastAt)} at least; {bank}."
            : closed.Outcome == Outcome.Complete
                ? $"Run {record.Opened.RunId} complete after {ReportNumber.Duration(record.LastAt)}; {bank}."
            : $"Run {record.Opened.RunId}: {closed.Outcome.ToString().ToUpperInvariant()}({closed.Code}) after {ReportNumber.Duration(record.LastAt)}; {bank}. {closed.Detail}";
    }

    /// <summary>One line a limit; of a limit judged at many points the worst, nearest to its limit among equals.</summary>
    internal static TextTable Verdicts(RunRecord record) =>
        new(
            "Verdicts",
            [
                new("result", IsNumber: false),
                new("measured ± U", IsNumber: true),
                new("k", IsNumber: true),
                new("allowed", IsNumber: true),
                new("TUR", IsNumber: true),
                new("verdict", IsNumber: false),
            ],
            [
                .. record
                    .Judged.Where(j => j.Step is null && !record.Groups.Any(g => g.Judged.Contains(j)))
                    .Select(j => (j, 1))
                    .Concat(
                        record.Groups.SelectMany(g =>
                            g.Judged.GroupBy(j => (j.Measurand, j.Limit.Text))
                                .Select(s => (s.MinBy(ReportVerdicts.Rank)!, s.Count()))
                        )
                    )
                    .Select(l => Row(l.Item1, l.Item2)),
            ]
        );

    private static System.Collections.Immutable.ImmutableArray<string> Row(JudgedResult judged, int count) =>
        [
            judged.Name
                + (count > 1 ? $" (nearest of {count} points)" : "")
                + (judged.IsSuperseded == true ? " (replaced by as left)" : ""),
            ReportVerdicts.Result(judged),
            ReportVerdicts.Coverage(judged),
            ReportVerdicts.Allowed(judged),
            ReportVerdicts.Ratio(judged),
            ResultWords.Of(judged.Judgement.Verdict),
        ];

    private static void Describe(JsonObject document, RunRecord record, RunFolder folder)
    {
        document["run"] = record.Opened.RunId;
        document["unit"] = record.Opened.UnitSerialNumber;
        document["simulated"] = record.Opened.IsSimulated;
        document["whole"] = record.IsWhole;
        document["outcome"] = record.Outcome?.ToString().ToLowerInvariant();
        document["code"] = record.Closed?.Code;
        document["detail"] = record.Closed?.Detail;
        document["energised"] = record.WasEnergised;
        document["bank"] = record.Bank switch
        {
            null => null,
            BankEnd.NeverEnergised => "never energised",
            BankEnd.Off => "off",
            _ => "off not confirmed",
        };
        document["to do"] = ToDo(record);
        document["verdict"] = ResultWords.Of(record.Overall.Verdict);
        document["words"] = record.Overall.Words;
        document["judged"] = new JsonArray([.. record.Judged.Select(Judged)]);
        document["folder"] = folder.Path;
        document["journal"] = folder.Journal;
        document["record"] = folder.Record;
        document["report"] = folder.Report;
        document["head"] = record.Head;
    }

    private static JsonNode Judged(JudgedResult judged) =>
        new JsonObject
        {
            ["name"] = judged.Name,
            ["value"] = Number(judged.Judgement.Estimate?.Value),
            ["expanded"] = Number(judged.Judgement.Estimate is null ? null : judged.Judgement.Expanded),
            ["k"] = Number(judged.Judgement.Estimate is null ? null : judged.Judgement.CoverageFactor),
            ["unit"] = ResultWords.Symbol(judged.Unit),
            ["limit of"] = judged.Limit.Source,
            ["accepted lower"] = Number(judged.Judgement.AcceptanceLower),
            ["accepted upper"] = Number(judged.Judgement.AcceptanceUpper),
            ["lower"] = Number(judged.Judgement.Limit.Lower),
            ["upper"] = Number(judged.Judgement.Limit.Upper),
            ["verdict"] = ResultWords.Of(judged.Judgement.Verdict),
            ["superseded"] = judged.IsSuperseded,
        };

    // JSON has no infinities: a limit that is not there is null.
    private static JsonNode? Number(double? value) =>
        value is { } number && double.IsFinite(number) ? JsonValue.Create(number) : null;
}
