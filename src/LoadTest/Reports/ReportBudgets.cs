using LoadTest.Analysis.Uncertainty;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Text;

namespace LoadTest.Reports;

/// <summary>Uncertainty budgets: every result of a whole group, and the tightest point of each limit judged point by point.</summary>
internal static class ReportBudgets
{
    public static void Write(HtmlText page, RunRecord record)
    {
        var shown = Chosen(record).ToArray();
        if (shown.Length == 0)
            return;
        page.Element("h2", "Uncertainty budgets");
        page.Element(
            "p",
            "Linear propagation, JCGM 100:2008: u² = Σ (c·u)², effective degrees of freedom by Welch–Satterthwaite, k from Student's t or, where rectangles carry most of the variance, from their distribution (EA-4/02 M:2022, S9 and S10). Lines of one meter's same error move together, so shares need not add up to 100 %. Of a limit judged at many points the budget of the point nearest to its limit is shown; the record holds all of them.",
            "small"
        );
        foreach (var judged in shown)
            Budget(page, record, judged);
        page.Element("h3", "Assumed in the budgets");
        page.Sentences(record.Assumptions, "small");
    }

    private static IEnumerable<JudgedResult> Chosen(RunRecord record) =>
        record.Groups.SelectMany(g =>
            g.Judged.Where(j => j.Budget is not null)
                .GroupBy(j => (j.Measurand, j.Limit.Text))
                .Select(same => same.MinBy(j => j.Judgement.Margin / Math.Max(j.Judgement.Expanded, 1e-300))!)
        );

    private static void Budget(HtmlText page, RunRecord record, JudgedResult judged)
    {
        var budget = judged.Budget!;
        var (symbol, factor) = ResultWords.Shown(judged.Unit);
        var (unit, scale) = Contributions(judged);
        page.Open("section", "keep").Element("h3", judged.Name);
        page.Table(
            "",
            "input",
            "component",
            "type",
            "distribution",
            "#degrees of freedom",
            $"#contribution{unit}",
            "#share"
        );
        foreach (var line in budget.Lines.Where(l => l.Contribution > 0))
        {
            page.Row(
                line.Input.Name,
                line.Input.Component.Name(),
                line.Input.Kind == EvaluationKind.TypeA ? "A" : "B",
                line.Input.Distribution.Name(),
                $"#{Degrees(line.Input.DegreesOfFreedom)}",
                $"#{ReportNumber.Significant(line.Contribution * scale, 2)}",
                $"#{ReportNumber.Fixed(line.Share * 100, 0)} %"
            );
        }
        page.EndTable();
        var combined = budget.Combined;
        page.Element(
            "p",
            $"Combined u = {ReportNumber.Significant(combined.StandardUncertainty * factor, 2)}{ReportNumber.Symbol(symbol)}, {Degrees(combined.DegreesOfFreedom)} degrees of freedom, k = {ReportNumber.Fixed(judged.Judgement.CoverageFactor, 2)}{Shape(budget)} for {ReportNumber.Significant(record.Coverage * 100, 4)} %: U = {ReportNumber.Uncertainty(judged.Judgement.Expanded, factor)}{ReportNumber.Symbol(symbol)}.{Predicted(judged, factor, symbol)}",
            "small"
        );
        page.Close("section");
    }

    // One prefix for all lines of a budget, so that the largest has a digit before or just after the point; percent takes none.
    private static (string Unit, double Factor) Contributions(JudgedResult judged)
    {
        if (judged.Unit is Unit.Fraction or Unit.One)
            return (judged.Unit == Unit.Fraction ? ", %" : "", ResultWords.Shown(judged.Unit).Factor);
        var (prefix, factor) = ReportNumber.Prefix(judged.Budget!.Lines.Max(l => l.Contribution));
        return ($", {prefix}{ResultWords.Symbol(judged.Unit)}", factor);
    }

    // EA-4/02, S9 and S10: where rectangles dominate, k is theirs.
    private static string Shape(Budget budget) =>
        budget.Dominance is { } d
            ? $" (from the rectangle of {d.Component.Name()}, which carries {ReportNumber.Fixed(d.First * 100, 0)} % of the variance)"
            : "";

    private static string Predicted(JudgedResult judged, double factor, string symbol) =>
        judged.Predicted is { } u
            ? $" The plan predicted u = {ReportNumber.Significant(u * factor, 2)}{ReportNumber.Symbol(symbol)}."
            : "";

    // Whole where they are counted, three digits where a formula gave them.
    private static string Degrees(double degrees) =>
        degrees > 9999 ? "∞"
        : Math.Abs(degrees - Math.Round(degrees)) < 1e-9 ? ReportNumber.Fixed(degrees, 0)
        : ReportNumber.Significant(degrees, degrees < 10 ? 2 : 3);
}
