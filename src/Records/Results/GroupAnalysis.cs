using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>Analyses the points of one group and judges its limits.</summary>
internal sealed class GroupAnalysis(RunPlan plan, PointMeasurer measurer, Judge judge)
{
    /// <summary>The result of a group; points the run did not reach leave their limits not tested.</summary>
    public GroupResult Of(PointGroup group)
    {
        var points = measurer.Measure(
            [.. plan.Steps.OfType<PointStep>().Where(p => p.Group == group.Number)],
            BesideRoles.Of(group.Kind)
        );
        var findings = points.SelectMany(p => p.Findings).ToList();
        var line = ModeLine.Of(group.Mode);
        var fitted =
            group.Kind == GroupKind.Curve ? CurveMaker.Fit(points, line, group.Mode, judge.Coverage, findings) : null;
        var shunt =
            group.Kind == GroupKind.ShuntSweep
                ? SweepMaker.Analyse(points, plan.Nameplate.Shunt, judge.Coverage, findings)
                : null;
        var agreement = PanelReader.Compare(group, points, judge.Coverage);
        var drift = group.Kind == GroupKind.Hold ? HoldDrift.Of(points, group.Mode, measurer, judge.Coverage) : null;
        var heat = points is [{ Step.Heat: not null } hot]
            ? HeatMaker.Of(hot, measurer, judge.Coverage, findings)
            : null;
        var transient = points is [{ Step.Transient: not null } sudden]
            ? TransientMaker.Of(sudden, measurer, findings)
            : null;
        var judged = group
            .Limits.SelectMany(limit =>
                Judged(group, EitherWay(limit), points, line, fitted?.Bare, shunt, drift, heat?.Rise, transient)
            )
            .ToArray();
        return new GroupResult(
            group,
            [.. points],
            [.. judged],
            [.. SentenceList.Of(findings)],
            fitted?.Curve,
            line,
            shunt,
            [.. agreement],
            drift?.Combined
        )
        {
            Heat = heat,
            Transient = transient,
        };
    }

    // A drift either way counts: "at most 2 %" is ± 2 %.
    private static ResolvedLimit EitherWay(ResolvedLimit limit) =>
        limit is { Measurand: Measurand.Drift, Lower: null, Upper: { } most } ? limit with { Lower = -most } : limit;

    private IEnumerable<JudgedResult> Judged(
        PointGroup group,
        ResolvedLimit limit,
        IReadOnlyList<MeasuredPoint> points,
        LoadLine line,
        VoltAmpCurve? curve,
        ShuntRatio? shunt,
        Budget? drift,
        Budget? rise,
        TransientResult? transient
    )
    {
        const string NoCurve = "No volt-amp curve could be fitted to the points that were measured.";
        JudgedResult Whole(Unit unit, Budget? budget, string missing) =>
            judge.Of(
                $"{ResultWords.Of(limit.Measurand)}, {group.Title}{Mark(group)}",
                limit,
                group.Condition,
                unit,
                budget,
                points.Count > 0 ? points[0].Step.State.Setting.Value : 1,
                missing
            );
        return limit.Measurand switch
        {
            Measurand.ShuntRatio =>
            [
                Whole(
                    Unit.VoltPerAmpere,
                    shunt is null ? null : SweepMaker.InVoltsPerAmpere(shunt),
                    "Too few points of the sweep were measured."
                ),
            ],
            Measurand.OpenCircuitVoltage => [Whole(Unit.Volt, OpenCircuit(points, curve), NoCurve)],
            Measurand.CurveSlope =>
            [
                Whole(
                    Unit.VoltPerAmpere,
                    curve is null ? null : CurveMaker.Slope(curve, points, judge.Coverage),
                    NoCurve
                ),
            ],
            Measurand.CurrentAtLoadLine =>
            [
                Whole(
                    Unit.Ampere,
                    curve is null ? null : CurveMaker.Crossing(curve, line, points, judge.Coverage),
                    NoCurve
                ),
            ],
            Measurand.Drift => [Whole(Unit.Fraction, drift, "The held state was not measured at both ends.")],
            Measurand.UnitTemperatureRise => [Whole(Unit.Kelvin, rise, "The heat run was not measured to its end.")],
            Measurand.Dip or Measurand.Overshoot =>
            [
                Whole(
                    Unit.Fraction,
                    TransientMaker.BudgetOf(limit.Measurand, transient, judge.Coverage),
                    "The sudden change was not sampled to its end."
                ),
            ],
            Measurand.RecoveryTime =>
            [
                Whole(
                    Unit.Second,
                    TransientMaker.BudgetOf(limit.Measurand, transient, judge.Coverage),
                    "The steady band was not kept to the end of the samples, or nothing was sampled."
                ),
            ],
            Measurand.VoltageRegulation or Measurand.FrequencyDroop =>
            [
                Whole(
                    Unit.Fraction,
                    AuxiliaryMaker.Of(limit.Measurand, points, plan.Nameplate.Auxiliary, judge.Coverage),
                    "It takes a point without auxiliary load and one with."
                ),
            ],
            _ => PointLimits.Judged(group, limit, points, judge, Mark(group)),
        };
    }

    // Titles say kind, setting and condition; where two are alike the mode tells them apart, else their number.
    private string Mark(PointGroup group)
    {
        var alike = plan.Groups.Where(g => g.Title == group.Title).ToArray();
        return alike.Length == 1 ? ""
            : alike.Count(g => g.Mode.Name == group.Mode.Name) == 1 ? $" ({group.Mode.Name})"
            : $" ({group.Mode.Name}, group {group.Number})";
    }

    // The voltage with the bank open is read directly; a curve is carried to no current only where that point is missing.
    private Budget? OpenCircuit(IReadOnlyList<MeasuredPoint> points, VoltAmpCurve? curve) =>
        CurveMaker.Open(points)?.Budget
        ?? (curve is null ? null : CurveMaker.OpenCircuit(curve, points, judge.Coverage));
}
