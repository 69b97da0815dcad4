using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;

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
        PointMeasurer measurer,
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
                    .. Common(top.Amperes!.Budget, "reference current"),
                    .. Common(top.UnitDrop!.Budget, "unit's drop"),
                ],
                CoverageProbability = coverage,
            };
            var ratio = sweep.Analyse();
            findings.AddRange(ratio.Findings);
            if (
                measurer.Meter(ChannelRole.ReferenceShuntDrop) is { } a
                && measurer.Meter(ChannelRole.UnitShuntDrop) is { } b
                && a.Instrument.Id == b.Instrument.Id
            )
            {
                findings.Add(
                    $"Both drops were read by {a.Instrument.Id}, one after the other; its gain error is counted twice, which makes the uncertainty too large rather than too small."
                );
            }
            return ratio;
        }
        catch (ArgumentException e)
        {
            findings.Add($"The shunt could not be analysed: {SentenceList.Of(e)}");
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

    private static ZeroReading? Zero(MeasuredPoint? p) =>
        p is null ? null : new ZeroReading(p.UnitDrop!.Estimate.Value * MilliPerOne, p.Seconds);

    private static IEnumerable<UncertaintyInput> Common(Budget budget, string of)
    {
        var value = Math.Abs(budget.Combined.Value);
        foreach (var line in budget.Lines)
        {
            var isOwn =
                line.Input.Kind == EvaluationKind.TypeA
                || line.Input.Name.EndsWith(": resolution", StringComparison.Ordinal)
                || line.Input.Name.Contains(": scatter of ", StringComparison.Ordinal);
            if (!isOwn && line.Contribution > 0)
            {
                yield return UncertaintyInput.FromStandard(
                    $"{of}: {line.Input.Name}",
                    0,
                    line.Contribution / value,
                    line.Input.DegreesOfFreedom
                ) with
                {
                    Instrument = line.Input.Instrument,
                };
            }
        }
    }
}
