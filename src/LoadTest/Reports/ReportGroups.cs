using LoadTest.Analysis.VoltAmp;
using LoadTest.Records;
using LoadTest.Records.Measuring;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Text;

namespace LoadTest.Reports;

/// <summary>What was measured, group by group: picture, points, results, findings.</summary>
internal static class ReportGroups
{
    /// <summary>More columns than these fit a page only in smaller letters.</summary>
    private const int Many = 9;

    public static void Write(HtmlText page, RunRecord record, IReadOnlyList<RunPicture> pictures)
    {
        if (record.Groups.IsEmpty)
            return;
        page.Element("h2", "Measurements");
        foreach (var picture in pictures.Where(p => p.Group is null))
            page.Picture(picture.Svg, picture.Caption);
        foreach (var group in record.Groups)
            Group(page, record, group, pictures);
    }

    private static void Group(HtmlText page, RunRecord record, GroupResult result, IReadOnlyList<RunPicture> pictures)
    {
        page.Element("h3", $"{result.Group.Title} ({result.Group.Mode.Name})");
        if (result.Points.All(p => p.Window is null))
        {
            page.Element(
                "p",
                result.IsKnown
                    ? "Not measured: the run did not come so far."
                    : "Unknown: the journal's frames on it are missing or damaged."
            );
            return;
        }
        foreach (var picture in pictures.Where(p => p.Group == result.Group.Number))
            page.Picture(picture.Svg, picture.Caption);
        Points(page, record, result);
        ReportLongSteps.Write(page, record, result);
        if (result.Curve is { } curve)
            Curve(page, curve);
        if (result.Shunt is { } shunt)
            Shunt(page, shunt);
        page.Sentences(result.Findings, "small");
    }

    private static void Points(HtmlText page, RunRecord record, GroupResult result)
    {
        var hasPanel = result.Points.Any(p => p.PanelAmperes is not null || p.PanelVolts is not null);
        var hasDrop = result.Points.Any(p => p.UnitDrop is not null);
        var unit = ResultWords.Symbol(result.Points[0].Step.State.Setting.Unit);
        List<string> heads = ["#step", $"#set, {unit}", "elements", "#output, V", "#output, A", "#predicted, A"];
        if (hasDrop)
            heads.Add("#unit's shunt, mV");
        if (hasPanel)
            heads.AddRange(["#panel, A", "#panel, V"]);
        var limits = result
            .Judged.Where(j => j.Step is not null && result.Points.Length > 1)
            .GroupBy(j => (j.Measurand, j.Unit))
            .ToArray();
        heads.AddRange(
            limits.Select(l => $"#{ResultWords.Of(l.Key.Measurand)}, {ResultWords.Shown(l.Key.Unit).Symbol}")
        );
        page.Table(heads.Count > Many ? "many" : "", [.. heads]);
        var set = ReportNumber.Column([.. result.Points.Select(p => (double?)p.Step.State.Setting.Value)]);
        var panelAmperes = ReportNumber.Column([.. result.Points.Select(p => p.PanelAmperes)]);
        var panelVolts = ReportNumber.Column([.. result.Points.Select(p => p.PanelVolts)]);
        for (var k = 0; k < result.Points.Length; k++)
        {
            var point = result.Points[k];
            var state = point.Step.State;
            List<string> cells =
            [
                $"#{point.Step.Number}{(point.Window is { HasSettled: false } ? " (not settled)" : "")}",
                $"#{set[k]}",
                Elements(state.Elements),
                Cell(point.Volts, record.Coverage, 1),
                Cell(point.Amperes, record.Coverage, 1),
                $"#{ReportNumber.Fixed(state.PredictedAmperes.Value, 1)}",
            ];
            if (hasDrop)
                cells.Add(Cell(point.UnitDrop, record.Coverage, 1000));
            if (hasPanel)
                cells.AddRange([$"#{panelAmperes[k]}", $"#{panelVolts[k]}"]);
            cells.AddRange(limits.Select(l => Judged(l, point.Step.Number)));
            page.Row([.. cells]);
        }
        page.EndTable();
    }

    private static string Judged(IEnumerable<JudgedResult> limit, int step)
    {
        if (limit.FirstOrDefault(j => j.Step == step) is not { } judged)
            return "#";
        var factor = ResultWords.Shown(judged.Unit).Factor;
        var verdict = ResultWords.Of(judged.Judgement.Verdict);
        return judged.Judgement.Estimate is { } e
            ? $"#{ReportNumber.Value(e.Value, judged.Judgement.Expanded, factor)} ± {ReportNumber.Uncertainty(judged.Judgement.Expanded, factor)} {verdict}"
            : $"#{verdict}";
    }

    /// <summary>Elements as they are numbered; a narrow column breaks beside a plus and not within a number.</summary>
    internal static string Elements(Analysis.Loads.ElementSet set) =>
        set.ToString().Replace("+", " + ", StringComparison.Ordinal);

    private static string Cell(Measured? measured, double coverage, double factor)
    {
        if (measured is null)
            return "#–";
        var e = measured.Estimate;
        var expanded =
            e.DegreesOfFreedom >= 1
                ? Analysis.Uncertainty.Coverage.Factor(coverage, e.DegreesOfFreedom) * e.StandardUncertainty
                : e.StandardUncertainty;
        return $"#{ReportNumber.Value(e.Value, expanded, factor)} ± {ReportNumber.Uncertainty(expanded, factor)}";
    }

    private static void Curve(HtmlText page, VoltAmpCurve curve)
    {
        var shape = curve.IsWithoutShape
            ? $"No shape fits: {SentenceText.Of(curve.Reason)}"
            : $"Shape: {curve.ModelName}. Chosen because: {SentenceText.Of(curve.Reason)}";
        page.Element("p", shape, "small");
        page.Open("section", "keep").Table("", "read from the curve", "#value", "#u", "note");
        foreach (var result in curve.Results)
        {
            page.Row(
                result.IsExtrapolated ? $"{result.Name} (extrapolated)" : result.Name,
                $"#{ReportNumber.Value(result.Value, result.StandardUncertainty ?? 0)} {result.Unit}{ReportNumber.InMilliohms(result)}",
                result.StandardUncertainty is { } u && double.IsFinite(u)
                    ? $"#{ReportNumber.Uncertainty(u)} {result.Unit}"
                    : "#not known",
                result.Note
            );
        }
        page.EndTable().Close("section");
    }

    private static void Shunt(HtmlText page, Analysis.Shunts.ShuntRatio shunt)
    {
        var k = shunt.Budget.CoverageFactor;
        page.Open("section", "keep").Table("", "the unit's shunt", "#value", "#U");
        void Row(string name, Analysis.Estimate e, string unit) =>
            page.Row(
                name,
                $"#{ReportNumber.Value(e.Value, k * e.StandardUncertainty)} {unit}",
                $"#{ReportNumber.Uncertainty(k * e.StandardUncertainty)} {unit}"
            );
        Row($"ratio (rated {ReportNumber.Significant(shunt.Rating.RatedRatio, 6)} mV/A)", shunt.Ratio, "mV/A");
        Row("gain error", shunt.GainErrorPercent, "%");
        if (shunt.DeliveredErrorPercent is { } delivered)
            Row("what that does to the delivered current", delivered, "%");
        page.Row(
            "largest distance from a straight line",
            $"#{ReportNumber.Significant(shunt.NonlinearityPercent, 2)} % of rated drop",
            ""
        );
        if (shunt.ZeroDriftMillivolts is { } drift)
            page.Row("zero after less zero before", $"#{ReportNumber.Significant(drift, 2)} mV", "");
        page.EndTable().Close("section");
    }
}
