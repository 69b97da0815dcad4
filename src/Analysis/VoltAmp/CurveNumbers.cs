namespace LoadTest.Analysis.VoltAmp;

/// <summary>Reads the named results from a curve.</summary>
internal static class CurveNumbers
{
    public const string OpenCircuit = "open-circuit voltage";
    public const string ShortCircuit = "short-circuit current";
    public const string AsMeasured = "as measured, nothing connected";
    private const double PerHundredAmperes = 100;

    public static IReadOnlyList<CurveResult> Of(
        VoltAmpCurve curve,
        ReadingSet set,
        CurveFit? fit,
        ICurveTrace trace,
        VoltAmpOptions options
    )
    {
        var results = new List<CurveResult>();
        var open = Open(curve, set, trace, options);
        if (open is not null)
        {
            results.Add(open);
        }

        if (curve.IsWithoutShape)
        {
            OperatingPoints(results, curve, options, "between the neighbouring readings; ");
            return results;
        }

        Slopes(results, curve, set, fit, trace);
        Knee(results, curve, set, fit);
        if (trace.Meet(0, 1, 0) is { } closed && closed.Amperes.Value > 0)
        {
            results.Add(Said(ShortCircuit, closed.Amperes, "A", closed.IsExtrapolated));
        }

        Regulation(results, set, trace, open, options, curve.KneeCorner is not null);
        OperatingPoints(results, curve, options, "");
        return results;
    }

    // The measured one where there is one; else the curve carried to no current.
    private static CurveResult? Open(VoltAmpCurve curve, ReadingSet set, ICurveTrace trace, VoltAmpOptions options)
    {
        if (options.MeasuredOpenCircuit is { } measured)
        {
            return Said(OpenCircuit, measured, "V", false, AsMeasured);
        }

        if (!curve.IsWithoutShape)
        {
            var note = curve.Model == VoltAmpModel.Interpolation ? "" : "as fitted";
            return trace.Meet(1, 0, 0) is { } met ? Said(OpenCircuit, met.Volts, "V", met.IsExtrapolated, note) : null;
        }

        var nearest = set.Readings.MinBy(r => Math.Abs(r.Amperes));
        if (Math.Abs(nearest.Amperes) > FittedTrace.Margin * set.SpanAmperes)
        {
            return null;
        }

        var common = options.CommonVoltsGain * nearest.Volts;
        var u = set.IsKnown ? Math.Sqrt(Squared(nearest.VoltsUncertainty) + Squared(common)) : double.PositiveInfinity;
        return Said(OpenCircuit, new Estimate(nearest.Volts, u), "V", false, AsMeasured);
    }

    private static void OperatingPoints(
        List<CurveResult> results,
        VoltAmpCurve curve,
        VoltAmpOptions options,
        string how
    )
    {
        foreach (var line in options.LoadLines)
        {
            if (curve.OperatingPoint(line) is { } point)
            {
                results.Add(
                    Said($"operating current, {line.Name}", point.Amperes, "A", point.IsExtrapolated, how + line.Status)
                );
                results.Add(
                    Said($"operating voltage, {line.Name}", point.Volts, "V", point.IsExtrapolated, how + line.Status)
                );
                results.Add(
                    Said($"output power, {line.Name}", point.Watts, "W", point.IsExtrapolated, how + line.Status)
                );
            }
        }
    }

    private static void Slopes(
        List<CurveResult> results,
        VoltAmpCurve curve,
        ReadingSet set,
        CurveFit? fit,
        ICurveTrace trace
    )
    {
        if (fit?.Shape is not KneedShape bent || (bent is DroopShape && !bent.HasKnee))
        {
            var middle = 0.5 * (set.LowAmperes + set.HighAmperes);
            if (trace.SlopeAt(middle) is { } slope)
            {
                var scaled = Times(slope, PerHundredAmperes);
                results.Add(
                    Said(
                        "slope",
                        scaled,
                        "V/100 A",
                        false,
                        $"at {CurveFindings.Amperes(set, middle)}, the middle of the measured range"
                    )
                );
            }

            return;
        }

        var degrees = fit.UncertaintyDegrees;
        if (bent.Count == 2)
        {
            var u = Math.Sqrt(fit.Covariance(1, 1));
            var slope = new Estimate(-fit.Parameters[1] * PerHundredAmperes, u * PerHundredAmperes, degrees);
            results.Add(
                Said(
                    "slope",
                    slope,
                    "V/100 A",
                    false,
                    $"from {CurveFindings.Amperes(set, set.LowAmperes)} to {CurveFindings.Amperes(set, set.HighAmperes)}"
                )
            );
            return;
        }

        var (kneeAmperes, kneeVolts) = curve.KneeCorner!.Value;
        var beyond =
            $"from the knee at {CurveFindings.Volts(set, kneeVolts)} to {CurveFindings.Volts(set, set.LowVolts)}";
        Span<double> gradient = stackalloc double[bent.Count];
        var fall = bent.SlopeBeyond(fit.Parameters, gradient);
        var limit = new Estimate(fall, Math.Sqrt(Variance(fit, gradient)), degrees);
        Ceiling(results, set, fit, trace, bent, kneeAmperes);
        if (bent.IsSwapped)
        {
            AddReciprocal(results, "slope beyond the knee", limit, beyond);
            results.Add(Said("current change per volt beyond the knee", limit, "A/V", false, beyond));
            return;
        }

        results.Add(Said("slope beyond the knee", Times(limit, PerHundredAmperes), "V/100 A", false, beyond));
    }

    // Slope of the ceiling: one number where it is straight, that in its middle where it sinks with the engine's speed.
    private static void Ceiling(
        List<CurveResult> results,
        ReadingSet set,
        CurveFit fit,
        ICurveTrace trace,
        KneedShape bent,
        double kneeAmperes
    )
    {
        var degrees = fit.UncertaintyDegrees;
        if (bent is DroopShape)
        {
            var middle = 0.5 * (set.LowAmperes + kneeAmperes);
            if (trace.SlopeAt(middle) is { } slope)
            {
                var at = $"at {CurveFindings.Amperes(set, middle)}, the middle of the branch up to the knee";
                results.Add(Said("slope", Times(slope, PerHundredAmperes), "V/100 A", false, at));
            }

            return;
        }

        var before =
            $"from {CurveFindings.Amperes(set, set.LowAmperes)} to the knee at {CurveFindings.Amperes(set, kneeAmperes)}";
        if (bent.IsSwapped)
        {
            ReadOnlySpan<double> both = [0, -1, -1, 0, 0];
            var value = -fit.Parameters[1] - fit.Parameters[2];
            var far = new Estimate(value, Math.Sqrt(Variance(fit, both[..bent.Count])), degrees);
            AddReciprocal(results, "slope", far, before);
            return;
        }

        var near = new Estimate(-fit.Parameters[1], Math.Sqrt(fit.Covariance(1, 1)), degrees);
        results.Add(Said("slope", Times(near, PerHundredAmperes), "V/100 A", false, before));
    }

    // The reciprocal of a conductance is said only where it is known well enough to have a meaning.
    private static void AddReciprocal(List<CurveResult> results, string name, Estimate conductance, string note)
    {
        if (Math.Abs(conductance.Value) > 3 * conductance.StandardUncertainty)
        {
            var value = PerHundredAmperes / conductance.Value;
            var u = Math.Abs(value) * conductance.Relative;
            results.Add(Said(name, new Estimate(value, u, conductance.DegreesOfFreedom), "V/100 A", false, note));
        }
    }

    private static void Knee(List<CurveResult> results, VoltAmpCurve curve, ReadingSet set, CurveFit? fit)
    {
        if (fit?.Shape is not KneedShape bent || curve.KneeCorner is not { } corner)
        {
            return;
        }

        Span<double> gradient = stackalloc double[bent.Count];
        bent.KneeHeight(fit.Parameters, gradient);
        var (uy, ux) = (Math.Sqrt(Variance(fit, gradient)), Math.Sqrt(fit.Covariance(3, 3)));
        var (ua, uv) = bent.IsSwapped ? (uy, ux) : (ux, uy);
        var outside = FittedTrace.IsOutside(set, corner.Amperes, ua, corner.Volts, uv);
        var note = bent is DroopShape ? "where the two branches meet" : "where the two straight branches would meet";
        var degrees = fit.UncertaintyDegrees;
        results.Add(Said("knee current", new Estimate(corner.Amperes, ua, degrees), "A", outside, note));
        results.Add(Said("knee voltage", new Estimate(corner.Volts, uv, degrees), "V", outside, note));
    }

    // 100 · (open-circuit volts − volts at the current) / volts at the current.
    private static void Regulation(
        List<CurveResult> results,
        ReadingSet set,
        ICurveTrace trace,
        CurveResult? open,
        VoltAmpOptions options,
        bool hasKnee
    )
    {
        // Beyond a knee the volts fall at one current, so without a rated one there is nothing to refer to.
        if (options.RatedAmperes is null && hasKnee)
        {
            return;
        }

        var amperes = options.RatedAmperes ?? set.HighAmperes;
        if (open is null || trace.Meet(1, 0, amperes) is not { } loaded || !(loaded.Volts.Value > 0))
        {
            return;
        }

        // A measured open-circuit voltage and the curve are taken as independent: what their meter does to both is then never too small.
        var together = options.MeasuredOpenCircuit is null ? trace.VoltsCovariance(0, amperes) : 0;
        var (u0, u1) = (open.StandardUncertainty ?? double.PositiveInfinity, loaded.Volts.StandardUncertainty);
        var ratio = open.Value / loaded.Volts.Value;
        var value = 100 * (ratio - 1);
        var variance = (u0 * u0) + (ratio * ratio * u1 * u1) - (2 * ratio * together);
        var u = 100 * Math.Sqrt(Math.Max(0, variance)) / loaded.Volts.Value;
        var what = options.RatedAmperes is null ? "the highest measured current" : "rated current";
        results.Add(
            new CurveResult(
                "regulation",
                value,
                "%",
                double.IsFinite(u) ? u : null,
                loaded.Volts.DegreesOfFreedom,
                open.IsExtrapolated || loaded.IsExtrapolated,
                $"rise from {what}, {CurveFindings.Amperes(set, amperes)}, to open circuit, of the volts at that current"
            )
        );
    }

    private static double Variance(CurveFit fit, ReadOnlySpan<double> gradient)
    {
        var variance = 0.0;
        for (var i = 0; i < gradient.Length; i++)
        {
            for (var j = 0; j < gradient.Length; j++)
            {
                variance += gradient[i] * gradient[j] * fit.Covariance(i, j);
            }
        }

        return Math.Max(0, variance);
    }

    private static double Squared(double value) => value * value;

    private static Estimate Times(Estimate estimate, double factor) =>
        estimate with
        {
            Value = estimate.Value * factor,
            StandardUncertainty = estimate.StandardUncertainty * factor,
        };

    private static CurveResult Said(string name, Estimate estimate, string unit, bool extrapolated, string note = "") =>
        new(
            name,
            estimate.Value,
            unit,
            double.IsFinite(estimate.StandardUncertainty) ? estimate.StandardUncertainty : null,
            estimate.DegreesOfFreedom,
            extrapolated,
            note
        );
}
