using LoadTest.Analysis;
using LoadTest.Analysis.Heat;
using LoadTest.Records;
using LoadTest.Records.Measuring;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Reports;

/// <summary>Tables of what heat runs, transients and auxiliary loads say.</summary>
internal static class ReportLongSteps
{
    public static void Write(HtmlText page, RunRecord record, GroupResult result)
    {
        if (result.Heat is { } heat)
            Heat(page, record, result, heat);
        if (result.Transient is { Response: { } response })
            Transient(page, record, result, response);
        if (result.Points.Any(p => p.Beside.ContainsKey(ChannelRole.AuxiliaryVolts)))
            Auxiliary(page, record, result);
    }

    private static void Heat(HtmlText page, RunRecord record, GroupResult result, HeatResult heat)
    {
        var plan = result.Points[0].Step.Heat!;
        page.Open("section", "keep").Table("", "heat run", "#value", "#U");
        page.Row("lasted", $"#{ReportNumber.Duration(heat.Length)}", "");
        page.Row(
            "largest part of any ten minutes under load",
            $"#{ReportNumber.Fixed(heat.WorstDuty * 100, 1)} %",
            plan.DutyCycle is { } duty ? $"#at most {ReportNumber.Fixed(duty * 100, 0)} %" : "#no break"
        );
        if (plan.DutyCycle is not null)
            page.Row("off part", plan.OffPart == OffPart.ControlAtMinimum ? "#control at minimum" : "#no load", "");
        if (heat.Rise is { } rise)
            Row(page, record, "unit temperature rise over the air", rise.Combined, "K");
        foreach (var (role, measured) in result.Points[0].Beside.OrderBy(b => b.Key))
            Row(page, record, $"{BesideRoles.Word(role)} at the end", measured.Estimate, BesideRoles.Symbol(role));
        if (heat.Equilibrium?.KelvinPerHour is { } slope)
            Row(page, record, "slope at the end", slope, "K/h");
        if (heat.WarmUp is WarmUpFound { Curve: var curve })
        {
            Row(
                page,
                record,
                "time constant, estimated",
                curve.TimeConstantSeconds with
                {
                    Value = curve.TimeConstantSeconds.Value / 60,
                    StandardUncertainty = curve.TimeConstantSeconds.StandardUncertainty / 60,
                },
                "min"
            );
        }
        if (heat.Final is { } final)
            Row(page, record, "temperature it tends to, estimated", final, "°C");
        page.EndTable().Close("section");
    }

    private static void Transient(
        HtmlText page,
        RunRecord record,
        GroupResult result,
        Analysis.Ac.StepResponse response
    )
    {
        var unit = result.Transient!.Unit;
        page.Open("section", "keep").Table("", "sudden change of load", "#value", "#U");
        Row(page, record, "before", response.Before, unit);
        Row(page, record, "new steady value", response.Settled, unit);
        Row(page, record, "dip below it, of rated", Percent(response.Dip, -100), "%");
        Row(page, record, "overshoot above it, of rated", Percent(response.Overshoot, 100), "%");
        if (response.RecoverySeconds is { } recovery)
            Row(page, record, "steady band kept after", recovery, "s");
        else
            page.Row("steady band kept after", "#not within the samples", "");
        page.EndTable().Close("section");
    }

    private static void Auxiliary(HtmlText page, RunRecord record, GroupResult result)
    {
        ChannelRole[] roles =
        [
            ChannelRole.AuxiliaryVolts,
            ChannelRole.AuxiliaryAmperes,
            ChannelRole.AuxiliaryFrequency,
            ChannelRole.AuxiliaryPower,
        ];
        page.Table(
            "",
            [
                "#step",
                "AC elements",
                "#planned at rated V, kW",
                .. roles.Select(r => $"#{BesideRoles.Word(r)}, {BesideRoles.Symbol(r)}"),
            ]
        );
        foreach (var point in result.Points)
        {
            page.Row([
                $"#{point.Step.Number}",
                ReportGroups.Elements(point.Step.State.Auxiliary),
                $"#{ReportNumber.Fixed(point.Step.State.AuxiliaryPower.Value / 1000, 2)}",
                .. roles.Select(r =>
                    point.Beside.TryGetValue(r, out var m)
                        ? $"#{ReportNumber.Value(m.Estimate.Value, Expanded(record, m.Estimate))} ± {ReportNumber.Uncertainty(Expanded(record, m.Estimate))}"
                        : "#–"
                ),
            ]);
        }
        page.EndTable();
    }

    private static void Row(HtmlText page, RunRecord record, string name, Estimate e, string unit)
    {
        var expanded = Expanded(record, e);
        page.Row(
            name,
            $"#{ReportNumber.Value(e.Value, expanded)} {unit}",
            expanded > 0 ? $"#{ReportNumber.Uncertainty(expanded)} {unit}" : ""
        );
    }

    private static double Expanded(RunRecord record, Estimate e) =>
        e.DegreesOfFreedom >= 1
            ? Analysis.Uncertainty.Coverage.Factor(record.Coverage, e.DegreesOfFreedom) * e.StandardUncertainty
            : e.StandardUncertainty;

    private static Estimate Percent(Estimate e, double factor) =>
        e with
        {
            Value = e.Value * factor,
            StandardUncertainty = e.StandardUncertainty * Math.Abs(factor),
        };
}
