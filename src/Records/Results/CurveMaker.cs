using LoadTest.Analysis;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>Fits the curve of a group and adds what is common to all its points to the results.</summary>
/// <remarks>
/// The points carry only what differs from one to the next (scatter and resolution): errors of the meters that are the same at
/// every point shift or tilt the whole curve and would be averaged away wrongly. The curve takes them as gains of its two meters;
/// a judged result takes them as lines of its budget, beside a fit without them, with the sensitivities below. δu and δi are the common relative errors of volts and amperes, s the slope:
/// open-circuit voltage U·δu; slope s·(δu − δi); crossing of the load line of rise b: dI = (s·I·δi − U·δu)/(s − b).
/// Worked number: level load line, very steep curve at 150 A, 0.1 % common in the amperes moves the crossing by 0.15 A.
/// </remarks>
internal static class CurveMaker
{
    /// <summary>A curve with everything its uncertainties hold, and the same without what is common to all points.</summary>
    internal sealed record Fitted(VoltAmpCurve Curve, VoltAmpCurve Bare);

    /// <summary>Fits the points that settled; null with a finding when no curve can be fitted.</summary>
    public static Fitted? Fit(
        IReadOnlyList<MeasuredPoint> points,
        LoadLine line,
        UnitMode mode,
        double coverage,
        List<string> findings
    )
    {
        var readings = Usable(points)
            .Select(p => new VoltAmpPoint(
                p.Amperes!.Estimate.Value,
                p.Volts!.Estimate.Value,
                p.Amperes.Scatter,
                p.Volts.Scatter
            ))
            .ToArray();
        if (readings.Length == 0)
            return null;
        try
        {
            var (volts, amperes) = Common(points);
            var options = new VoltAmpOptions
            {
                Coverage = coverage,
                LoadLines = [line],
                RatedAmperes = mode.RatedAmperes.Value,
                MeasuredOpenCircuit = Open(points)?.Estimate,
            };
            var curve = VoltAmpAnalysis.Fit(
                readings,
                options with
                {
                    CommonVoltsGain = volts,
                    CommonAmperesGain = amperes,
                }
            );
            findings.AddRange(curve.Findings);
            return new Fitted(curve, VoltAmpAnalysis.Fit(readings, options));
        }
        catch (ArgumentException e)
        {
            findings.Add($"No volt-amp curve: {SentenceText.Of(e)}");
            return null;
        }
    }

    /// <summary>The voltage read with the bank open; null where that point is missing.</summary>
    public static Measured? Open(IReadOnlyList<MeasuredPoint> points) =>
        points.FirstOrDefault(p => p.Counts && p.Step.State.Elements.IsEmpty)?.Volts;

    /// <summary>Open-circuit voltage of the fit with its budget, V: where none was measured.</summary>
    public static Budget? OpenCircuit(VoltAmpCurve curve, IReadOnlyList<MeasuredPoint> points, double coverage) =>
        curve.OpenCircuitVoltage is { StandardUncertainty: { } u } result
            ? Make("open-circuit voltage", "V", Said(result, u), result.Value, 0, points, coverage)
            : null;

    /// <summary>Slope of the curve with its budget, V/A.</summary>
    public static Budget? Slope(VoltAmpCurve curve, IReadOnlyList<MeasuredPoint> points, double coverage)
    {
        if (curve.Result("slope") is not { StandardUncertainty: { } u } result)
            return null;
        const double PerHundred = 100;
        var slope = Said(result, u);
        slope = slope with
        {
            Value = slope.Value / PerHundred,
            StandardUncertainty = slope.StandardUncertainty / PerHundred,
        };
        return Make("curve slope", "V/A", slope, slope.Value, -slope.Value, points, coverage);
    }

    /// <summary>Current where the curve meets the load line, with its budget, A.</summary>
    public static Budget? Crossing(
        VoltAmpCurve curve,
        LoadLine line,
        IReadOnlyList<MeasuredPoint> points,
        double coverage
    )
    {
        if (curve.OperatingPoint(line) is not { } point)
            return null;
        var (amperes, volts) = (point.Amperes.Value, point.Volts.Value);
        var step = Math.Max(amperes, 1) * 1e-4;
        var slope =
            curve.Evaluate(amperes - step) is { } before && curve.Evaluate(amperes + step) is { } after
                ? (after.Value - before.Value) / (2 * step)
                : double.NegativeInfinity;
        // A curve that stands upright moves by the amperes' error alone.
        var (ofVolts, ofAmperes) = double.IsInfinity(slope)
            ? (0, amperes)
            : (-volts / (slope - line.VoltsPerAmpere), slope * amperes / (slope - line.VoltsPerAmpere));
        return Make("current at load line", "A", point.Amperes, ofVolts, ofAmperes, points, coverage);
    }

    private static Budget? Make(
        string measurand,
        string unit,
        Estimate fit,
        double ofVolts,
        double ofAmperes,
        IReadOnlyList<MeasuredPoint> points,
        double coverage
    )
    {
        if (!double.IsFinite(fit.StandardUncertainty))
            return null;
        var (volts, amperes) = Common(points);
        UncertaintyInput[] inputs =
        [
            UncertaintyInput.FromScatter("fit of the curve: scatter of the points", fit, Usable(points).Count()) with
            {
                Component = Component.Fit,
            },
            UncertaintyInput.FromStandard("voltmeter, common to all points", 0, volts).With(ofVolts) with
            {
                Component = Component.Specification,
            },
            UncertaintyInput.FromStandard("reference current, common to all points", 0, amperes).With(ofAmperes) with
            {
                Component = Component.Specification,
            },
        ];
        return Budget.Linear(measurand, unit, fit.Value, inputs, null, coverage);
    }

    // Largest relative common part among the loaded points of at least a tenth of the highest reading.
    private static (double Volts, double Amperes) Common(IReadOnlyList<MeasuredPoint> points)
    {
        static double Largest(IEnumerable<Measured> all)
        {
            var list = all.ToArray();
            var top = list.Max(m => Math.Abs(m.Estimate.Value));
            return list.Where(m => Math.Abs(m.Estimate.Value) >= 0.1 * top && top > 0)
                .Select(m => m.Common / Math.Abs(m.Estimate.Value))
                .DefaultIfEmpty(0)
                .Max();
        }

        var usable = Usable(points).ToArray();
        return (Largest(usable.Select(p => p.Volts!)), Largest(usable.Select(p => p.Amperes!)));
    }

    private static IEnumerable<MeasuredPoint> Usable(IReadOnlyList<MeasuredPoint> points) =>
        points.Where(p => p is { Counts: true, Volts: not null, Amperes: not null });

    private static Estimate Said(CurveResult result, double u) => new(result.Value, u, result.DegreesOfFreedom);
}
