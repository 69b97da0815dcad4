using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Reports;

/// <summary>Every verdict, one line each.</summary>
internal static class ReportVerdicts
{
    public static void Write(HtmlText page, RunRecord record)
    {
        page.Element("h2", "Verdicts");
        if (!record.Judged.IsEmpty)
            Judged(page, record);
        else
            page.Element("p", record.IsWhole ? "Nothing was judged." : "Whether anything was judged is unknown.");
        if (record.DecisionRule.Length > 0)
        {
            page.Element(
                "p",
                $"Decision rule: {record.DecisionRule}. A result passes inside its limits drawn in by the guard band, fails outside them by more than it, and is undecided between: too close to the limit for these meters. U = k·u is the expanded uncertainty; accepted is what is left of the limits inside the guard band; TUR the width of the limits over 2 U. Lines in grey are as found and replaced by a result as left.",
                "small"
            );
        }
        Asked(page, record);
    }

    /// <summary>Value ± U with its unit, or that there is none.</summary>
    public static string Result(JudgedResult judged) =>
        judged.Judgement.Estimate is { } estimate
            ? ReportNumber.WithUncertainty(estimate, judged.Judgement.Expanded, judged.Unit)
            : "–";

    // A limit judged at many points takes one line, that of the point nearest to its limit; the points follow with their group.
    private static void Judged(HtmlText page, RunRecord record)
    {
        page.Table("", "result", "#measured", "#allowed", "#TUR", "verdict");
        foreach (var one in record.Judged.Where(j => j.Step is null && !record.Groups.Any(g => g.Judged.Contains(j))))
            Line(page, one, one.Name, one.Judgement.Verdict);
        foreach (var group in record.Groups)
        {
            foreach (var same in group.Judged.GroupBy(j => (j.Measurand, j.Limit.Text)))
            {
                var worst = same.MinBy(Rank)!;
                Line(page, worst, Named(group, worst, same.Count()), worst.Judgement.Verdict);
            }
        }
        page.EndTable();
        page.Sentences([.. Explained(record)], "small");
    }

    private static string Named(GroupResult group, JudgedResult judged, int count) =>
        count == 1 ? judged.Name
        : judged.Judgement.Verdict is Verdict.NotTested or Verdict.Unknown
            ? $"{ResultWords.Of(judged.Measurand)}, {group.Group.Title} ({count} points)"
        : $"{judged.Name} (nearest of {count} points)";

    // One sentence for each that did not pass; points that were not reached for the same reason share one.
    private static IEnumerable<string> Explained(RunRecord record)
    {
        var grouped = record.Groups.SelectMany(g => g.Judged).ToHashSet();
        foreach (var one in record.Judged.Where(j => !grouped.Contains(j) && j.Judgement.Verdict != Verdict.Pass))
            yield return $"{one.Name}. {one.Judgement.Words}{Remedied(one)}";
        foreach (var group in record.Groups)
        {
            foreach (var one in group.Judged.Where(j => j.Judgement.Verdict is Verdict.Fail or Verdict.Undecided))
                yield return $"{one.Name}. {one.Judgement.Words}{Remedied(one)}";
            foreach (
                var same in group
                    .Judged.Where(j => j.Judgement.Verdict is Verdict.NotTested or Verdict.Unknown)
                    .GroupBy(j => (j.Measurand, j.Judgement.Words))
            )
                yield return $"{Named(group, same.First(), same.Count())}. {same.Key.Words}";
        }
    }

    // What would decide an undecided one, from the same budget.
    private static string Remedied(JudgedResult judged) =>
        judged.Budget is { } budget && Remedy.For(judged.Judgement, budget) is { } remedy ? $" {remedy.Words}" : "";

    // Fail before undecided before not tested before unknown before pass; among equals the one nearest to its limit, measured in its U.
    internal static (int, double) Rank(JudgedResult judged) =>
        (
            judged.Judgement.Verdict switch
            {
                Verdict.Fail => 0,
                Verdict.Undecided => 1,
                Verdict.NotTested => 2,
                Verdict.Unknown => 3,
                _ => 4,
            },
            judged.Judgement.Margin / Math.Max(judged.Judgement.Expanded, double.Epsilon)
        );

    private static void Line(HtmlText page, JudgedResult judged, string name, Verdict verdict)
    {
        page.Open("tr", judged.IsSuperseded == true ? "old" : "");
        page.Open("td").Words(name).Element("small", $"limit of: {judged.Limit.Source}").Close("td");
        page.Open("td", "n").Words(Result(judged));
        if (Slope(judged) is { } slope)
            page.Element("small", slope);
        page.Element("small", $"k = {Coverage(judged)}").Close("td");
        page.Open("td", "n").Words(Allowed(judged)).Element("small", $"accepted {Accepted(judged)}").Close("td");
        page.Element("td", Ratio(judged), "n");
        Report.VerdictCell(page, verdict);
        page.Close("tr");
    }

    /// <summary>A slope of a curve as curves state theirs, beside the mV/A it is judged in; null for anything else.</summary>
    /// <remarks>1 mV/A is 1 mΩ and 0.1 V/100 A: −39.5 mV/A is <c>−3.95 V/100 A (−39.5 mΩ)</c>.</remarks>
    internal static string? Slope(JudgedResult judged) =>
        judged is { Measurand: Measurand.CurveSlope, Judgement: { Estimate: { } e, Expanded: var expanded } }
            ? $"{ReportNumber.Value(e.Value, expanded, 100)} V/100 A ({ReportNumber.Value(e.Value, expanded, 1000)} mΩ)"
            : null;

    /// <summary>The coverage factor of U.</summary>
    internal static string Coverage(JudgedResult judged) =>
        judged.Judgement.Estimate is null ? "–" : ReportNumber.Fixed(judged.Judgement.CoverageFactor, 2);

    /// <summary>The test uncertainty ratio; a dash where there is none.</summary>
    internal static string Ratio(JudgedResult judged) =>
        judged.Judgement.TestUncertaintyRatio is { } tur ? Stated.Ratio(tur) : "–";

    /// <summary>The limit as it was judged, in the unit people read it in.</summary>
    internal static string Allowed(JudgedResult judged) =>
        Interval(judged, judged.Judgement.Limit.Lower, judged.Judgement.Limit.Upper, digits: 6);

    /// <summary>The limits drawn in by the guard band: what a value must keep to pass; none where no value can.</summary>
    internal static string Accepted(JudgedResult judged) =>
        judged.Judgement is not { Estimate: not null } tested ? "–"
        : double.IsNaN(tested.AcceptanceLower) || tested.AcceptanceLower > tested.AcceptanceUpper ? "none"
        : Interval(judged, tested.AcceptanceLower, tested.AcceptanceUpper, digits: 5);

    private static string Interval(JudgedResult judged, double lower, double upper, int digits)
    {
        var (symbol, factor) = ResultWords.Shown(judged.Unit);
        string Number(double value) => ReportNumber.Trimmed(value * factor, digits);
        return (double.IsFinite(lower), double.IsFinite(upper)) switch
        {
            (true, true) => $"{Number(lower)} to {Number(upper)}{ReportNumber.Symbol(symbol)}",
            (true, _) => $"at least {Number(lower)}{ReportNumber.Symbol(symbol)}",
            _ => $"at most {Number(upper)}{ReportNumber.Symbol(symbol)}",
        };
    }

    private static void Asked(HtmlText page, RunRecord record)
    {
        if (record.Asked.IsEmpty)
            return;
        page.Element("h3", "Inspection, values by hand, adjustment");
        page.Table("", "#step", "what", "found", "by", "#min:s");
        foreach (var asked in record.Asked)
        {
            page.Row(
                $"#{asked.Step.Number}",
                asked.Step.Title,
                Found(asked),
                asked.Answer?.Who ?? "",
                $"#{(asked.At is { } at ? ReportNumber.Time(at) : "")}"
            );
        }
        page.EndTable();
    }

    private static string Found(AskedResult asked)
    {
        if (!asked.IsKnown)
            return "unknown";
        if (asked.Answer is not { } answer)
            return "not reached";
        var words = asked.Step.Kind switch
        {
            AskKind.Number when answer.Number is { } number => Value(asked.Step, number, answer.Typed),
            AskKind.Number => "no value",
            AskKind.Inspect => answer.Yes ? "in order" : "NOT in order",
            AskKind.Adjust => answer.Yes ? "done" : "not done",
            _ => answer.Yes ? "yes" : "no",
        };
        return answer.Remark.Length == 0 ? words : $"{words}: {answer.Remark}";
    }

    // As it was typed: a zero at the end is a digit that was read.
    private static string Value(AskStep step, double number, string? typed)
    {
        var (symbol, factor) = ResultWords.Shown(step.Unit);
        var value = $"{typed ?? ReportNumber.Trimmed(number * factor, 6)}{ReportNumber.Symbol(symbol)}";
        return step.Meter is { } meter ? $"{value} by {meter.Instrument.Id}" : $"{value}, no known meter";
    }
}
