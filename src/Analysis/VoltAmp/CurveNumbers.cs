namespace LoadTest.Analysis.VoltAmp;

/// <summary>Reads the named results from a curve.</summary>
internal static class CurveNumbers
{
    public const string OpenCircuit = "open-circuit voltage";
    public const string ShortCircuit = "short-circuit current";
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
        if (trace.Meet(1, 0, 0) is { } open)
        {
            results.Add(Said(OpenCircuit, open.Volts, "V", open.IsExtrapolated));
        }

        Slopes(results, curve, set, fit, trace);
        Knee(results, curve, set, fit);
        if (trace.Meet(0, 1, 0) is { } closed && closed.Amperes.Value > 0)
        {
            results.Add(Said(ShortCircuit, closed.Amperes, "A", closed.IsExtrapolated));
        }

        Regulation(results, set, trace, options, curve.KneeCorner is not null);
        foreach (var line in options.LoadLines)
        {
            if (curve.OperatingPoint(line) is { } point)
            {
                results.Add(
                    Said($"operating current, {line.Name}", point.Amperes, "A", point.IsExtrapolated, line.Status)
                );
                results.Add(
                    Said($"operating voltage, {line.Name}", point.Volts, "V", point.IsExtrapolated, line.Status)
                );
                results.Add(Said($"output power, {line.Name}", point.Watts, "W", point.IsExtrapolated, line.Status));
            }
        }

        return results;
    }

    private static void Slopes(
        List<CurveResult> results,
        VoltAmpCurve curve,
        ReadingSet set,
        CurveFit? fit,
        ICurveTrace trace
    )
    {
        if (fit?.Shape is not BentLineShape bent)
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
        var near = new Estimate(-fit.Parameters[1], Math.Sqrt(Variance(fit, 1, 1)), degrees);
        var far = new Estimate(
            -fit.Parameters[1] - fit.Parameters[2],
            Math.Sqrt(Math.Max(0, Variance(fit, 1, 1) + Variance(fit, 2, 2) + (2 * Variance(fit, 1, 2)))),
            degrees
        );
        var before =
            $"from {CurveFindings.Amperes(set, set.LowAmperes)} to the knee at {CurveFindings.Amperes(set, kneeAmperes)}";
        var beyond =
            $"from the knee at {CurveFindings.Volts(set, kneeVolts)} to {CurveFindings.Volts(set, set.LowVolts)}";
        if (bent.IsSwapped)
        {
            AddReciprocal(results, "slope", far, before);
            AddReciprocal(results, "slope beyond the knee", near, beyond);
            results.Add(Said("current change per volt beyond the knee", near, "A/V", false, beyond));
            return;
        }

        results.Add(Said("slope", Times(near, PerHundredAmperes), "V/100 A", false, before));
        results.Add(Said("slope beyond the knee", Times(far, PerHundredAmperes), "V/100 A", false, beyond));
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
        if (fit?.Shape is not BentLineShape bent || curve.KneeCorner is not { } corner)
        {
            return;
        }

        // y = a − b k at x = k.
        var (b, k) = (fit.Parameters[1], fit.Parameters[3]);
        ReadOnlySpan<double> gradient = [1, -k, 0, -b];
        var variance = 0.0;
        for (var i = 0; i < 4; i++)
        {
            for (var j = 0; j < 4; j++)
            {
                variance += gradient[i] * gradient[j] * Variance(fit, i, j);
            }
        }

        var (uy, ux) = (Math.Sqrt(Math.Max(0, variance)), Math.Sqrt(Variance(fit, 3, 3)));
        var (ua, uv) = bent.IsSwapped ? (uy, ux) : (ux, uy);
        var outside = FittedTrace.IsOutside(set, corner.Amperes, ua, corner.Volts, uv);
        const string Note = "where the two straight branches would meet";
        var degrees = fit.UncertaintyDegrees;
        results.Add(Said("knee current", new Estimate(corner.Amperes, ua, degrees), "A", outside, Note));
        results.Add(Said("knee voltage", new Estimate(corner.Volts, uv, degrees), "V", outside, Note));
    }

    // 100 · (open-circuit volts − volts at the current) / volts at the current.
    private static void Regulation(
        List<CurveResult> results,
        ReadingSet set,
        ICurveTrace trace,
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
        if (
            trace.Meet(1, 0, 0) is not { } open
            || trace.Meet(1, 0, amperes) is not { } loaded
            || !(loaded.Volts.Value > 0)
        )
        {
            return;
        }

        var value = 100 * ((open.Volts.Value / loaded.Volts.Value) - 1);
        var (u0, u1) = (open.Volts.StandardUncertainty, loaded.Volts.StandardUncertainty);
        var ratio = open.Volts.Value / loaded.Volts.Value;
        var variance = (u0 * u0) + (ratio * ratio * u1 * u1) - (2 * ratio * trace.VoltsCovariance(0, amperes));
        var u = 100 * Math.Sqrt(Math.Max(0, variance)) / loaded.Volts.Value;
        var what = options.RatedAmperes is null ? "the highest measured current" : "rated current";
        results.Add(
            new CurveResult(
                "regulation",
                value,
                "%",
                double.IsFinite(u) ? u : null,
                open.Volts.DegreesOfFreedom,
                open.IsExtrapolated || loaded.IsExtrapolated,
                $"rise from {what}, {CurveFindings.Amperes(set, amperes)}, to open circuit, of the volts at that current"
            )
        );
    }

    private static double Variance(CurveFit fit, int i, int j) => fit.Covariance(i, j);

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
