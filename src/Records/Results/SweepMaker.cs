using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>Analyses the unit's shunt from the points of a sweep.</summary>
internal static class SweepMaker
{
    private const double MilliPerOne = 1000;

    /// <summary>Ratio, gain error and findings; null with a finding when the points do not suffice.</summary>
    /// <remarks>
    /// What is common to all points (certificates, specifications, temperature of the reference) enters once, as a part of
    /// the ratio taken at the largest current, where the regression has its weight.
    /// </remarks>
    public static ShuntRatio? Analyse(
        IReadOnlyList<MeasuredPoint> points,
        UnitShunt shunt,
        double coverage,
        List<string> findings
    )
    {
        var usable = points.Where(p => p is { Counts: true, Amperes: not null, UnitDrop: not null }).ToArray();
        var loaded = usable.Where(p => !p.Step.IsZeroReading).ToArray();
        if (loaded.Length == 0)
            return null;
        var firstLoaded = loaded[0].Seconds;
        var zeros = usable.Where(p => p.Step.IsZeroReading).ToArray();
        var top = loaded.MaxBy(p => p.Amperes!.Estimate.Value)!;
        try
        {
            var sweep = new ShuntSweep
            {
                Rating = new ShuntRating(
                    shunt.RatedAmperes.Value,
                    shunt.RatedVolts.Value * MilliPerOne,
                    shunt.ClassIndex
                ),
                Points = [.. loaded.Select(Point)],
                ZeroBefore = Zero(zeros.LastOrDefault(z => z.Seconds < firstLoaded)),
                ZeroAfter = Zero(zeros.FirstOrDefault(z => z.Seconds > loaded[^1].Seconds)),
                Common =
                [
                    .. Common(top.Amperes!.Budget, "reference current", -1),
                    .. Common(top.UnitDrop!.Budget, "unit's drop", 1),
                ],
                Intercept = [.. Intercept(top)],
                CoverageProbability = coverage,
            };
            var ratio = sweep.Analyse();
            findings.AddRange(ratio.Findings);
            return ratio;
        }
        catch (ArgumentException e)
        {
            findings.Add($"The shunt could not be analysed: {SentenceText.Of(e)}");
            return null;
        }
    }

    /// <summary>Budget of the ratio in volts per ampere, as limits are.</summary>
    public static Budget InVoltsPerAmpere(ShuntRatio ratio)
    {
        var budget = ratio.Budget;
        UncertaintyInput[] inputs = [.. budget.Lines.Select(l => l.Input.With(l.Sensitivity / MilliPerOne))];
        return Budget.Linear(
            "shunt ratio",
            "V/A",
            budget.Combined.Value / MilliPerOne,
            inputs,
            budget.Correlations,
            budget.CoverageProbability
        );
    }

    private static ShuntPoint Point(MeasuredPoint p) =>
        new(
            p.Amperes!.Estimate.Value,
            p.UnitDrop!.Estimate.Value * MilliPerOne,
            p.Amperes.Scatter,
            p.UnitDrop.Scatter * MilliPerOne,
            p.Step.Direction,
            p.Seconds
        );

    // What moves the line's end at no current and is not scatter: both meters' linearity, the reference's thermal EMF, the zero readings.
    private static IEnumerable<UncertaintyInput> Intercept(MeasuredPoint top)
    {
        var ratio = top.UnitDrop!.Estimate.Value / top.Amperes!.Estimate.Value * MilliPerOne;
        static bool IsOfZero(BudgetLine line) =>
            line.Input.Component is Component.Linearity or Component.ThermalEmf or Component.ZeroDrift
            && line.Contribution > 0;
        foreach (var line in top.Amperes.Budget.Lines.Where(IsOfZero))
            yield return line.Input.With(-line.Sensitivity * ratio);
        foreach (var line in top.UnitDrop.Budget.Lines.Where(IsOfZero))
            yield return line.Input.Scaled(MilliPerOne).With(Math.Sign(line.Sensitivity));
    }

    private static ZeroReading? Zero(MeasuredPoint? p) =>
        p is null ? null : new ZeroReading(p.UnitDrop!.Estimate.Value * MilliPerOne, p.Seconds);

    // An offset is alike at all points: the line's intercept takes it, and a zero reading takes it off.
    // Relative to the value, with the sign the line has in the ratio: a higher current is a lower ratio.
    private static IEnumerable<UncertaintyInput> Common(Budget budget, string of, int sign) =>
        budget
            .Lines.Where(l =>
                !Measured.IsOwn(l.Input) && l.Input.Component is not Component.Offset && l.Contribution > 0
            )
            .Select(l =>
                l.Input.Named($"{of}: {l.Input.Name}")
                    .Scaled(Math.Abs(l.Sensitivity / budget.Combined.Value))
                    .With(sign * Math.Sign(l.Sensitivity))
            );
}
