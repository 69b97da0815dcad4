using LoadTest.Analysis.Shunts;
using LoadTest.Plots;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Reports;

/// <summary>One picture of a run.</summary>
/// <param name="Name">File name without its ending: letters, digits and hyphens.</param>
/// <param name="Caption">What it shows, one or two sentences.</param>
/// <param name="Group">Number of the group it belongs to; null for the whole run.</param>
/// <param name="Svg">The picture.</param>
public sealed record RunPicture(string Name, string Caption, int? Group, string Svg);

/// <summary>Draws the pictures of a run from its record.</summary>
public static class RunPlots
{
    private const int Width = 720;
    private const int Height = 310;
    private const double Percent = 100;

    /// <summary>Every picture, in order of the plan, the run over time last.</summary>
    public static IReadOnlyList<RunPicture> Of(RunRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        var pictures = new List<RunPicture>();
        foreach (var group in record.Groups)
        {
            if (group.Curve is not null)
                pictures.Add(Curve(group));
            if (group.Shunt is not null && group.Group.Condition != Condition.AsFound)
                pictures.Add(Shunt(record, group));
            else if (group.Shunt is not null && Partner(record, group, Condition.AsLeft) is null)
                pictures.Add(Shunt(record, group));
            if (group.Heat is { } heat && !heat.Unit.Minutes.IsEmpty)
                pictures.Add(LongStepPlots.Heat(group, heat, Width, Height));
            if (group.Transient is { } transient)
                pictures.Add(LongStepPlots.Transient(group, transient, Width, Height));
            if (!group.Agreement.IsEmpty)
                pictures.Add(Agreement(record, group));
        }
        if (!record.Amperes.Minutes.IsEmpty || !record.Volts.Minutes.IsEmpty)
            pictures.Add(OverTime(record));
        return pictures;
    }

    private static RunPicture Curve(GroupResult group)
    {
        var curve = group.Curve!;
        return new RunPicture(
            $"curve-{group.Group.Number}",
            $"{group.Group.Title}: readings, fitted curve ({curve.ModelName}) with its {curve.Coverage * Percent:0.#} % band, and where it meets the load line.",
            group.Group.Number,
            PlotStyle.Svg(CurvePlot.Draw("", curve, group.LoadLine), Width, Height)
        );
    }

    private static RunPicture Shunt(RunRecord record, GroupResult group)
    {
        var found = Partner(record, group, Condition.AsFound);
        var series = new List<ShuntSeries>();
        if (found is { Shunt: { } before } && group.Group.Condition == Condition.AsLeft)
            series.Add(new ShuntSeries("as found", before));
        var name = ResultWords.Of(group.Group.Condition);
        series.Add(new ShuntSeries(name.Length == 0 ? "measured" : name, group.Shunt!));
        var rated = record.Plan!.Nameplate.Shunt.RatedRatio;
        var limit = group.Group.Limits.FirstOrDefault(l => l.Measurand == Measurand.ShuntRatio);
        return new RunPicture(
            $"shunt-{group.Group.Number}",
            "Error of the unit's shunt against current, point by point with expanded uncertainty: ▲ rising, ▼ falling, the dashed lines are the limits.",
            group.Group.Number,
            PlotStyle.Svg(
                ShuntPlot.Draw("", series, (limit?.Lower / rated - 1) * Percent, (limit?.Upper / rated - 1) * Percent),
                Width,
                Height
            )
        );
    }

    private static RunPicture Agreement(RunRecord record, GroupResult group)
    {
        var isVolts = group.Group.Mode.Characteristic == Characteristic.ConstantVoltage;
        var telling = Telling(group.Agreement);
        var headline = $"{telling.Comparison.Headline} ({Counted(group.Agreement, telling.Comparison.Suspect)})";
        return new RunPicture(
            $"set-indicated-actual-{group.Group.Number}",
            $"{group.Group.Title}: who is wrong. Indicated and actual as departures from set, bars their expanded uncertainties. At {telling.Set:0.#} {(isVolts ? "V" : "A")}: {telling.Comparison.Words}",
            group.Group.Number,
            PlotStyle.Svg(
                AgreementPlot.Draw(
                    headline,
                    isVolts ? "set voltage, V" : "set current, A",
                    [
                        .. group.Agreement.Select(a => new AgreementPoint(
                            a.Set,
                            a.Indicated,
                            a.Actual,
                            a.Comparison.Tolerance
                        )),
                    ],
                    Analysis.Uncertainty.Coverage.Factor(record.Coverage, double.PositiveInfinity)
                ),
                Width,
                Height
            )
        );
    }

    // How many points say so, and what the others say.
    private static string Counted(IReadOnlyList<PanelAgreement> all, Suspect told)
    {
        var others = all.Where(a => a.Comparison.Suspect != told)
            .CountBy(a =>
                a.Comparison.Suspect switch
                {
                    Suspect.None => "agree",
                    Suspect.CannotSay => "too uncertain to say",
                    _ => "otherwise wrong",
                }
            )
            .Select(o => $"; {o.Value} {o.Key}");
        var alike = all.Count(a => a.Comparison.Suspect == told);
        return $"{alike} of {all.Count} {(all.Count == 1 ? "point" : "points")}{string.Concat(others)}";
    }

    // A point that names a culprit before one that finds none, that before one that cannot say; among equals the largest setting.
    private static PanelAgreement Telling(IReadOnlyList<PanelAgreement> all) =>
        all.OrderBy(a =>
                a.Comparison.Suspect switch
                {
                    Suspect.CannotSay => 2,
                    Suspect.None => 1,
                    _ => 0,
                }
            )
            .ThenByDescending(a => a.Set)
            .First();

    private static RunPicture OverTime(RunRecord record)
    {
        return new RunPicture(
            "run",
            $"The run as it happened{(record.IsWhole ? "" : ", as far as the journal can be trusted")}: output current (filled) and output voltage (dashed), with what was measured when.",
            null,
            PlotStyle.Svg(
                RunPlot.Draw(
                    "",
                    new TimeSeries(record.Amperes.Minutes, record.Amperes.Values),
                    new TimeSeries(record.Volts.Minutes, record.Volts.Values),
                    [.. Stretches(record)],
                    [.. record.Trips.Select(t => new MomentMark(t.At.TotalMinutes, Words(t.Removal)))]
                ),
                Width,
                Height
            )
        );
    }

    private static string Words(TripRemoval removal) =>
        removal switch
        {
            TripRemoval.Confirmed => "load removed",
            TripRemoval.Written => "all-off written",
            _ => "all-off asked for",
        };

    private static IEnumerable<TimeSpanMark> Stretches(RunRecord record)
    {
        foreach (var group in record.Groups)
        {
            var windows = group.Points.Select(p => p.Window).OfType<PointMeasured>().ToArray();
            if (windows.Length > 0)
                yield return new TimeSpanMark(
                    windows[0].From.TotalMinutes,
                    windows[^1].To.TotalMinutes,
                    group.Group.Title
                );
        }
    }

    private static GroupResult? Partner(RunRecord record, GroupResult group, Condition condition) =>
        group.Group.PointsName is null
            ? null
            : record.Groups.FirstOrDefault(g =>
                g.Group.PointsName == group.Group.PointsName
                && g.Group.Condition == condition
                && g.Group.Kind == group.Group.Kind
                && g.Shunt is not null
            );
}
