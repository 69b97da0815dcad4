using LoadTest.Analysis;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records;
using LoadTest.Records.Measuring;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Simulator;

namespace LoadTest.Benchmarks;

/// <summary>One stated uncertainty beside what was really so.</summary>
/// <param name="Kind">What was stated.</param>
/// <param name="Error">Stated value less truth.</param>
/// <param name="StandardUncertainty">u.</param>
/// <param name="CoverageFactor">k.</param>
/// <param name="Largest">Component that carries most, with its share; empty where no budget stands behind it.</param>
/// <param name="IsDominated">Whether rectangles carry so much that k follows from them.</param>
internal sealed record Stated(
    string Kind,
    double Error,
    double StandardUncertainty,
    double CoverageFactor,
    string Largest,
    bool IsDominated
);

/// <summary>Every kind of uncertainty a record states, held against the simulator's truth.</summary>
internal sealed class CoverageKinds(CoverageRun run)
{
    private readonly List<Stated> _found = [];

    /// <summary>Everything stated in the run's record, in the order of its groups.</summary>
    public IReadOnlyList<Stated> All()
    {
        foreach (var group in run.Record.Groups)
        {
            foreach (var point in group.Points.Where(p => p.Counts))
                Point(point);
            foreach (var judged in group.Judged.Where(j => j.Budget is not null))
                Judged(group, judged);
            Shunt(group);
            Curve(group);
        }
        return _found;
    }

    private void Point(MeasuredPoint point)
    {
        var isLoaded = !point.Step.State.Elements.IsEmpty;
        Add(
            isLoaded ? "output voltage" : "output voltage, bank open",
            point.Volts?.Budget,
            True(point, t => t.StudVolts)
        );
        if (isLoaded)
        {
            Add("output current", point.Amperes?.Budget, True(point, t => t.Amperes));
            Add("drop of the unit's shunt", point.UnitDrop?.Budget, True(point, t => t.UnitShuntVolts));
        }
        foreach (var (role, measured) in point.Beside)
        {
            if (Of(role) is { } of)
                Add(BesideRoles.Word(role), measured.Budget, True(point, of));
        }
    }

    private void Judged(GroupResult group, JudgedResult judged)
    {
        var point = group.Points.FirstOrDefault(p => p.Step.Number == judged.Step && p.Counts);
        double? truth = (judged.Measurand, point) switch
        {
            (Measurand.SetCurrentError, { } p) => p.Step.State.Setting.Value - True(p, t => t.Amperes),
            (Measurand.IndicatedCurrentError, { } p) => Panel(p) - True(p, t => t.Amperes),
            (Measurand.OutputPower, { } p) => True(p, t => t.StudVolts * t.Amperes),
            (Measurand.Drift, _) => Drift(group),
            (Measurand.VoltageRegulation, _) => Fall(group, t => t.AuxiliaryVolts, null),
            (Measurand.FrequencyDroop, _) => Fall(
                group,
                t => t.AuxiliaryHertz,
                run.Record.Plan!.Nameplate.Auxiliary?.Hertz
            ),
            (Measurand.UnitTemperatureRise, _) => True(group.Points[0], t => t.WindingCelsius - t.AirCelsius),
            (Measurand.OpenCircuitVoltage, _) => Open(group),
            _ => null,
        };
        if (truth is { } so)
            Add(
                judged.Measurand == Measurand.Drift ? "hold drift" : ResultWords.Of(judged.Measurand),
                judged.Budget,
                so
            );
    }

    private void Shunt(GroupResult group)
    {
        if (group.Shunt is not { } shunt)
            return;
        var loaded = group.Points.Where(p => p.Counts && !p.Step.IsZeroReading).ToArray();
        double[] amperes = [.. loaded.Select(p => True(p, t => t.Amperes))];
        double[] drops = [.. loaded.Select(p => True(p, t => t.UnitOhms * t.Amperes) * 1000)];
        var (slope, end) = Line(amperes, drops);
        var rated = shunt.Rating.RatedRatio;
        Add("shunt ratio", shunt.Budget, slope);
        Add("gain error", shunt.GainErrorPercent, (slope / rated - 1) * 100, shunt.Budget);
        if (shunt.DeliveredErrorPercent is { } delivered)
            Add("delivered error", delivered, (rated / slope - 1) * 100, shunt.Budget);
        Add("offset of the shunt's line", shunt.OffsetBudget, end);
        for (var i = 0; i < Math.Min(shunt.Points.Count, loaded.Length); i++)
        {
            var result = shunt.Points[i];
            var truth = (drops[i] / amperes[i] / rated - 1) * 100;
            var k = shunt.Budget.CoverageFactor;
            _found.Add(
                new Stated(
                    "error of one sweep point",
                    result.ErrorPercent - truth,
                    result.ExpandedPercent / k,
                    k,
                    "",
                    shunt.Budget.Dominance is not null
                )
            );
        }
    }

    private void Curve(GroupResult group)
    {
        if (group.Curve is not { } curve)
            return;
        if (curve.OpenCircuitVoltage is { StandardUncertainty: { } u } open && Open(group) is { } volts)
            Add("open-circuit voltage of the fit", new Estimate(open.Value, u, open.DegreesOfFreedom), volts, null);
        var points = group
            .Points.Where(p => p.Counts)
            .Select(p => (Amperes: True(p, t => t.Amperes), Volts: True(p, t => t.StudVolts)))
            .OrderBy(p => p.Amperes)
            .ToArray();
        if (curve.OperatingPoint(group.LoadLine) is not { } crossing)
            return;
        for (var i = 1; i < points.Length; i++)
        {
            double Above((double Amperes, double Volts) p) => p.Volts - group.LoadLine.Volts(p.Amperes);
            var (before, after) = (Above(points[i - 1]), Above(points[i]));
            if (before < 0 || after >= 0)
                continue;
            var part = before / (before - after);
            var truth = points[i - 1].Amperes + part * (points[i].Amperes - points[i - 1].Amperes);
            Add("operating current on the load line", crossing.Amperes, truth, null);
            return;
        }
    }

    private double? Open(GroupResult group) =>
        group.Points.FirstOrDefault(p => p.Counts && p.Step.State.Elements.IsEmpty) is { } point
            ? True(point, t => t.StudVolts)
            : null;

    private double? Drift(GroupResult group)
    {
        if (group.Points.FirstOrDefault(p => p.Step.Hold > TimeSpan.Zero) is not { Window: { } end } point)
            return null;
        var begin = end.From - point.Step.Hold;
        return True(point, t => t.Amperes) / run.Mean(begin, begin + (end.To - end.From), t => t.Amperes) - 1;
    }

    // Fall from no load to the largest load over the value there, or over a rating.
    private double? Fall(GroupResult group, Func<Truth, double> of, double? rated)
    {
        var counted = group.Points.Where(p => p.Counts).ToArray();
        var open = counted.FirstOrDefault(p => p.Step.State.Auxiliary.IsEmpty);
        var full = counted.MaxBy(p => p.Step.State.AuxiliaryPower.Value);
        return open is null || full is null ? null : (True(open, of) - True(full, of)) / (rated ?? True(full, of));
    }

    // What the panel's ammeter would show with digits without end.
    private double Panel(MeasuredPoint point)
    {
        var shunt = run.World.UnitShunt;
        return True(point, t => t.UnitShuntVolts)
            * 1000
            * shunt.RatedAmperes
            / shunt.RatedMillivolts
            * (1 + run.World.Panel.AmperesErrorPercent / 100);
    }

    private double True(MeasuredPoint point, Func<Truth, double> of) =>
        run.Mean(point.Window!.From, point.Window.To, of);

    private static Func<Truth, double>? Of(ChannelRole role) =>
        role switch
        {
            ChannelRole.UnitTemperature => t => t.WindingCelsius,
            ChannelRole.ReferenceShuntTemperature => t => t.ReferenceShuntCelsius,
            ChannelRole.AirTemperature => t => t.AirCelsius,
            ChannelRole.AuxiliaryVolts => t => t.AuxiliaryVolts,
            ChannelRole.AuxiliaryFrequency => t => t.AuxiliaryHertz,
            ChannelRole.AuxiliaryPower => t => t.AuxiliaryWatts,
            _ => null,
        };

    private static (double Slope, double Intercept) Line(double[] x, double[] y)
    {
        var (mx, my) = (x.Average(), y.Average());
        var slope = x.Zip(y, (a, b) => (a - mx) * (b - my)).Sum() / x.Sum(a => (a - mx) * (a - mx));
        return (slope, my - slope * mx);
    }

    private void Add(string kind, Budget? budget, double truth)
    {
        if (budget is not null)
            Add(kind, budget.Combined, truth, budget);
    }

    private void Add(string kind, Estimate estimate, double truth, Budget? budget)
    {
        if (!double.IsFinite(truth) || !(estimate.StandardUncertainty > 0) || estimate.DegreesOfFreedom < 1)
            return;
        var k =
            budget?.CoverageFactor
            ?? Analysis.Uncertainty.Coverage.Factor(run.Record.Coverage, estimate.DegreesOfFreedom);
        var largest = budget?.Lines.MaxBy(l => l.Share);
        var words = largest is { } l ? $"{l.Input.Component.Name()} {l.Share * 100:0} %" : "";
        _found.Add(
            new Stated(
                kind,
                estimate.Value - truth,
                estimate.StandardUncertainty,
                k,
                words,
                budget?.Dominance is not null
            )
        );
    }
}
