using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Ratio of a shunt from a sweep against reference amperes.</summary>
/// <remarks>
/// V − zero = offset + ratio · I by least squares, weighted by the points' own scatter where all of them know it, with
/// the uncertainty from the scatter about the line (JCGM 100:2008, H.3); the common relative inputs are added to the
/// slope's in a budget. Worked number: 0.0980 mV/A on a 500 A / 50 mV shunt is a gain error of −2.0 %; a machine regulated by
/// it delivers 1/0.98 − 1 = +2.04 %.
/// </remarks>
internal static class ShuntRatioAnalysis
{
    /// <summary>Class indices of the series, percent; IEC 60051-8 and 60051-1, from memory: check your copy.</summary>
    internal static readonly double[] ClassIndices = [0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 1];

    // Below this fraction of rated current a point has no ratio worth the name.
    private const double LowestFraction = 0.01;

    public static ShuntRatio Of(ShuntSweep sweep)
    {
        Check(sweep);
        var findings = new List<string>();
        var zero = new ShuntZero(sweep.ZeroBefore, sweep.ZeroAfter);
        zero.Report(findings);
        if (sweep.Temperature is { } temperature)
            findings.Add(temperature.Words);
        var n = sweep.Points.Count;
        double[] amperes = new double[n],
            corrected = new double[n];
        for (var i = 0; i < n; i++)
        {
            amperes[i] = sweep.Points[i].ReferenceAmperes;
            corrected[i] =
                (sweep.Points[i].UnitMillivolts - zero.At(sweep.Points[i].Seconds)) / (sweep.Temperature?.Factor ?? 1);
        }
        var line = LineFit.Fit(amperes, corrected, Weights(sweep));
        var budget = BudgetOf(sweep, line, zero, amperes);
        var ratio = budget.Combined;
        var rated = sweep.Rating.RatedRatio;
        var gain = new Estimate(
            (ratio.Value / rated - 1) * 100,
            ratio.StandardUncertainty / rated * 100,
            ratio.DegreesOfFreedom
        );
        var points = PointResults(sweep, line, budget, corrected, zero);
        var curvature = ShuntShape.Curvature(amperes, corrected, sweep.Rating);
        var hysteresis = ShuntShape.Hysteresis(sweep.Points, line.Residuals, sweep.Rating);
        var result = new ShuntRatio
        {
            Rating = sweep.Rating,
            Ratio = ratio,
            OffsetBudget = OffsetOf(sweep, line, zero),
            Budget = budget,
            GainErrorPercent = gain,
            DeliveredErrorPercent = Delivered(gain),
            Points = points,
            NonlinearityPercent = points.Max(p => Math.Abs(p.ResidualMillivolts)) / sweep.Rating.RatedMillivolts * 100,
            Curvature = curvature,
            Hysteresis = hysteresis,
            ZeroDriftMillivolts = zero.Drift,
            WithinClass = SmallestClass(points),
            Judgement = sweep.Limit is { } limit ? Conformity.Judge(budget, limit, sweep.Rule) : null,
            Findings = findings,
        };
        ShuntWords.AddFindings(result, findings);
        return result;
    }

    private static void Check(ShuntSweep sweep)
    {
        ArgumentNullException.ThrowIfNull(sweep.Points);
        sweep.Temperature?.Check();
        var least = LowestFraction * sweep.Rating.RatedAmperes;
        for (var i = 0; i < sweep.Points.Count; i++)
        {
            var p = sweep.Points[i];
            var name = $"Shunt sweep, point {i + 1}";
            Guard.Finite(p.ReferenceAmperes, name, "reference current in A");
            Guard.Finite(p.UnitMillivolts, name, "drop in mV");
            Guard.NotNegative(p.AmperesScatter, name, "scatter of the current in A");
            Guard.NotNegative(p.MillivoltsScatter, name, "scatter of the drop in mV");
            Guard.Finite(p.Seconds, name, "time in s");
            Guard.Require(
                Math.Abs(p.ReferenceAmperes) >= least,
                $"{name}: {Figures.With(p.ReferenceAmperes, "A", 4)}; a point needs {Figures.With(least, "A", 3)} or more (1 % of rated). Give readings without current as zero readings."
            );
        }
    }

    private static double[] Weights(ShuntSweep sweep)
    {
        var rated = sweep.Rating.RatedRatio;
        var weights = new double[sweep.Points.Count];
        for (var i = 0; i < weights.Length; i++)
        {
            var p = sweep.Points[i];
            var variance = p.MillivoltsScatter * p.MillivoltsScatter + Math.Pow(rated * p.AmperesScatter, 2);
            // One point without a known scatter would get all the weight; then all weigh alike.
            if (!(variance > 0))
                return [];
            weights[i] = 1 / variance;
        }
        return weights;
    }

    private static Budget BudgetOf(ShuntSweep sweep, LineFit line, ShuntZero zero, double[] amperes)
    {
        var slope = line.Slope;
        var inputs = new List<UncertaintyInput>
        {
            UncertaintyInput.FromScatter($"regression of {line.Count} points", slope, line.Count) with
            {
                Component = Component.Fit,
            },
        };
        if (zero.Drift is { } drift && drift != 0)
            inputs.Add(
                UncertaintyInput
                    .FromHalfWidth("zero drift (thermal EMF)", value: 0, Math.Abs(drift) / 2)
                    .With(1 / (amperes.Max() - amperes.Min())) with
                {
                    Component = Component.ZeroDrift,
                }
            );
        if (sweep.Temperature is { } temperature)
            inputs.AddRange(temperature.Lines().Select(line => line.With(slope.Value)));
        inputs.AddRange(sweep.Common.Select(c => c.With(slope.Value * c.Sensitivity)));
        return Budget.Linear("Shunt ratio", "mV/A", slope.Value, inputs, sweep.Correlations, sweep.CoverageProbability);
    }

    private static Budget OffsetOf(ShuntSweep sweep, LineFit line, ShuntZero zero)
    {
        UncertaintyInput[] inputs =
        [
            UncertaintyInput.FromScatter("end of the line", line.Intercept) with
            {
                Component = Component.Fit,
            },
            UncertaintyInput.FromStandard("zero readings", 0, zero.StandardUncertainty) with
            {
                Component = Component.ZeroDrift,
            },
            .. sweep.Intercept,
        ];
        return Budget.Linear("Offset", "mV", line.Intercept.Value, inputs, null, sweep.CoverageProbability);
    }

    private static Estimate? Delivered(Estimate gain)
    {
        var factor = 1 + gain.Value / 100;
        return factor > 0
            ? new Estimate((1 / factor - 1) * 100, gain.StandardUncertainty / (factor * factor), gain.DegreesOfFreedom)
            : null;
    }

    private static ShuntPointResult[] PointResults(
        ShuntSweep sweep,
        LineFit line,
        Budget budget,
        double[] corrected,
        ShuntZero zero
    )
    {
        var ratio = budget.Combined;
        // What is common to all points: everything in the budget but the regression and the zero, which each point has its own of.
        var own = budget.Lines.Where(l => l.Input.Component is Component.Fit or Component.ZeroDrift);
        var common =
            Math.Sqrt(
                Math.Max(
                    0,
                    ratio.StandardUncertainty * ratio.StandardUncertainty
                        - own.Sum(l => l.Contribution * l.Contribution)
                )
            ) / Math.Abs(ratio.Value);
        var results = new ShuntPointResult[corrected.Length];
        for (var i = 0; i < results.Length; i++)
        {
            var p = sweep.Points[i];
            var known = Math.Sqrt(
                p.MillivoltsScatter * p.MillivoltsScatter + Math.Pow(ratio.Value * p.AmperesScatter, 2)
            );
            var drop = Math.Abs(corrected[i]);
            var scatter = (known > 0 ? known : line.ResidualStandardDeviation) / drop;
            var ofZero = zero.StandardUncertainty / drop;
            var u = Math.Sqrt(scatter * scatter + ofZero * ofZero + common * common);
            results[i] = new(
                p,
                corrected[i],
                (corrected[i] / sweep.Rating.MillivoltsAt(p.ReferenceAmperes) - 1) * 100,
                u * 100 * budget.CoverageFactor,
                line.Residuals[i]
            );
        }
        return results;
    }

    /// <summary>Smallest class whose limits every point keeps with its expanded uncertainty inside.</summary>
    /// <remarks>Limits of ± class index percent of the reading at each point, a shunt's fiducial value being its rated ratio (IEC 60051-1 and
    /// 60051-8, from memory: check your copy). Worked number: a largest error of 0.18 % with U = 0.10 % is within class 0.3, not 0.2.</remarks>
    private static double? SmallestClass(ShuntPointResult[] points)
    {
        var worst = points.Max(p => Math.Abs(p.ErrorPercent) + p.ExpandedPercent);
        foreach (var index in ClassIndices)
        {
            if (worst <= index)
                return index;
        }
        return null;
    }
}
