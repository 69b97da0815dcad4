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
            "Linear propagation, JCGM 100:2008: u² = Σ (c·u)², effective degrees of freedom ν by Welch–Satterthwaite, k from Student's t or, where rectangles carry most of the variance, from their distribution (EA-4/02 M:2022, S9 and S10). Lines of one meter's same error move together, so shares need not add up to 100 %. Of a limit judged at many points the budget of the point nearest to its limit is shown; the record holds all of them.",
            "small"
        );
        foreach (var alike in shown.GroupBy(Form, StringComparer.Ordinal))
            Budgets(page, record, [.. alike]);
        page.Element("h3", "Assumed in the budgets");
        page.Sentences(record.Assumptions, "small");
    }

    private static IEnumerable<JudgedResult> Chosen(RunRecord record) =>
        record.Groups.SelectMany(g =>
            g.Judged.Where(j => j.Budget is not null)
                .GroupBy(j => (j.Measurand, j.Limit.Text))
                .Select(same => same.MinBy(j => j.Judgement.Margin / Math.Max(j.Judgement.Expanded, 1e-300))!)
        );

    // Budgets of one measurand whose lines are the same but for their size stand side by side.
    private static string Form(JudgedResult judged) =>
        string.Join(
            '\n',
            Lines(judged)
                .Select(l => $"{l.Input.Name}|{l.Input.Component}|{Evaluated(l.Input)}")
                .Prepend($"{judged.Measurand} {judged.Unit}")
        );

    private static IEnumerable<BudgetLine> Lines(JudgedResult judged) =>
        judged.Budget!.Lines.Where(l => l.Contribution > 0);

    private static string Evaluated(UncertaintyInput input) =>
        $"{(input.Kind == EvaluationKind.TypeA ? "A" : "B")}, {input.Distribution.Name()}";

    private static void Budgets(HtmlText page, RunRecord record, IReadOnlyList<JudgedResult> alike)
    {
        var isOne = alike.Count == 1;
        var (unit, scale) = Contributions(alike);
        page.Element("h3", string.Join("; ", alike.Select(j => j.Name)));
        var heads = alike.SelectMany(
            (_, k) => new[] { $"#{Of(k, isOne)}ν", $"#{Of(k, isOne)}c·u{unit}", $"#{Of(k, isOne)}share" }
        );
        page.Table("many", ["input", "component", "type, distribution", .. heads]);
        foreach (var row in Rows(alike))
        {
            var input = row[0].Input;
            page.Row([input.Name, input.Component.Name(), Evaluated(input), .. row.SelectMany(l => Cells(l, scale))]);
        }
        page.EndTable();
        for (var k = 0; k < alike.Count; k++)
            page.Element("p", $"{Of(k, isOne)}{Combined(record, alike[k])}", "small");
    }

    // The second of three is marked (2) in head and sentence.
    private static string Of(int k, bool isOne) => isOne ? "" : $"({k + 1}) ";

    private static IEnumerable<BudgetLine[]> Rows(IReadOnlyList<JudgedResult> alike)
    {
        var columns = alike.Select(j => Lines(j).ToArray()).ToArray();
        return Enumerable.Range(0, columns[0].Length).Select(k => columns.Select(c => c[k]).ToArray());
    }

    private static string[] Cells(BudgetLine line, double scale) =>
        [
            $"#{Degrees(line.Input.DegreesOfFreedom)}",
            $"#{ReportNumber.Significant(line.Contribution * scale, 2)}",
            $"#{ReportNumber.Fixed(line.Share * 100, 0)} %",
        ];

    private static string Combined(RunRecord record, JudgedResult judged)
    {
        var (symbol, factor) = ResultWords.Shown(judged.Unit);
        var combined = judged.Budget!.Combined;
        return $"Combined u = {ReportNumber.Significant(combined.StandardUncertainty * factor, 2)}{ReportNumber.Symbol(symbol)}, {Degrees(combined.DegreesOfFreedom)} degrees of freedom, k = {ReportNumber.Fixed(judged.Judgement.CoverageFactor, 2)}{Shape(judged.Budget)} for {ReportNumber.Trimmed(record.Coverage * 100, 4)} %: U = {ReportNumber.Uncertainty(judged.Judgement.Expanded, factor)}{ReportNumber.Symbol(symbol)}.{Predicted(judged, factor, symbol)}";
    }

    // One prefix for all lines of the budgets, so that the largest has a digit before or just after the point; percent takes none.
    private static (string Unit, double Factor) Contributions(IReadOnlyList<JudgedResult> alike)
    {
        var judged = alike[0];
        if (judged.Unit is Unit.Fraction or Unit.One)
            return (judged.Unit == Unit.Fraction ? ", %" : "", ResultWords.Shown(judged.Unit).Factor);
        var (prefix, factor) = ReportNumber.Prefix(alike.Max(j => j.Budget!.Lines.Max(l => l.Contribution)));
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
