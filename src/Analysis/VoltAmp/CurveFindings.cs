namespace LoadTest.Analysis.VoltAmp;

/// <summary>Says in words what a person should know about a curve, and shows each reading from it.</summary>
internal static class CurveFindings
{
    /// <summary>Probability, over all points together, of calling a good reading far.</summary>
    private const double FarRisk = 0.05;

    /// <summary>Distance, in parts of the span, below which readings lie on the curve by rounding alone.</summary>
    private const double NoScatter = 1e-9;

    public static IReadOnlyList<CurvePoint> PointsOf(ReadingSet set, CurveFit? fit)
    {
        if (fit is null)
        {
            return
            [
                .. set.Readings.Select(r => new CurvePoint(r.Amperes, r.Volts, 0, 0, null, null, false, false, false)),
            ];
        }

        var points = new List<CurvePoint>();
        var far = fit.FarLimit(FarRisk);
        var heavy = 2.0 * fit.Free / fit.Used;
        var used = 0;
        for (var i = 0; i < set.Readings.Length; i++)
        {
            var reading = set.Readings[i];
            if (fit.Aside[i])
            {
                var (da, dv) = Miss(fit, reading, double.NaN);
                points.Add(new CurvePoint(reading.Amperes, reading.Volts, da, dv, null, null, true, true, false));
                continue;
            }

            var (ra, rv) = Miss(fit, reading, fit.Feet[used]);
            var leverage = fit.Leverage(used);
            double? student = fit.Degrees > 1 ? fit.Studentised(used) : null;
            var isFar = Math.Abs(student ?? 0) > far && MayBeBad(fit, used);
            points.Add(
                new CurvePoint(
                    reading.Amperes,
                    reading.Volts,
                    ra,
                    rv,
                    leverage,
                    student,
                    isFar,
                    false,
                    leverage > heavy
                )
            );
            used++;
        }

        return points;
    }

    // One reading is called far only where all the others agree with the shape; else it is the shape that is wrong.
    private static bool MayBeBad(CurveFit fit, int used)
    {
        if (!fit.Set.IsKnown)
        {
            return SetAside.Agrees(fit);
        }

        var part = fit.Distances[used] / Math.Sqrt(Math.Max(1e-9, 1 - fit.Leverage(used)));
        var rest = Math.Max(0, fit.Squares - (part * part));
        return Numerics.ChiSquared.UpperTail(rest, fit.Degrees - 1) >= CurveFit.ScatterRisk;
    }

    /// <summary>An amount of current or volts of this curve in words.</summary>
    public static string Amperes(ReadingSet set, double value) => $"{Figures.Within(value, set.SpanAmperes)} A";

    /// <inheritdoc cref="Amperes"/>
    public static string Volts(ReadingSet set, double value) => $"{Figures.Within(value, set.SpanVolts)} V";

    /// <summary>Root mean square distance of the used readings from the curve, each axis in parts of its span.</summary>
    public static double Miss(CurveFit fit)
    {
        var (sum, used) = (0.0, 0);
        for (var i = 0; i < fit.Aside.Length; i++)
        {
            if (!fit.Aside[i])
            {
                var (amperes, volts) = Miss(fit, fit.Set.Readings[i], fit.Feet[used++]);
                var (a, v) = (amperes / fit.Set.SpanAmperes, volts / fit.Set.SpanVolts);
                sum += (a * a) + (v * v);
            }
        }

        return Math.Sqrt(sum / Math.Max(1, fit.Degrees));
    }

    public static IReadOnlyList<string> Of(VoltAmpCurve curve, ReadingSet set, CurveFit? fit)
    {
        var findings = new List<string>();
        Assumptions(findings, set, fit);
        if (fit is not null)
        {
            Scatter(findings, fit);
        }

        if (curve.IsWithoutShape)
        {
            findings.Add(
                "No shape fits: the open-circuit voltage is the one measured, and each operating point lies between its two neighbouring readings, its uncertainty with what may lie between them. Measure more points near the load line."
            );
        }

        var points = curve.Points;
        for (var i = 0; i < points.Count; i++)
        {
            if (points[i].IsSetAside)
            {
                findings.Add(
                    $"{Named(set, points[i], i)} lies {points[i].ResidualVolts:+0.##;−0.##;0} V and {points[i].ResidualAmperes:+0.##;−0.##;0} A from the curve, more than chance allows; it is shown and not used in the fit. Measure it again."
                );
            }
            else if (points[i].IsOutlier)
            {
                findings.Add(
                    $"{Named(set, points[i], i)} lies {Math.Abs(points[i].Studentised ?? 0):F1} times the expected spread from the curve; it is used in the fit. Measure it again."
                );
            }
        }

        if (curve.KneeCorner is { } knee && !Inside(set, knee))
        {
            findings.Add(
                $"The knee at {Amperes(set, knee.Amperes)}, {Volts(set, knee.Volts)} lies outside what was measured. Measure points beyond it."
            );
        }

        if (curve.LinesNotMet is { Count: > 0 } missed)
        {
            findings.Add($"The curve does not meet these load lines: {string.Join("; ", missed)}.");
        }

        var extrapolated = curve.Results.Where(r => r.IsExtrapolated).Select(r => r.Name).ToList();
        if (extrapolated.Count > 0)
        {
            findings.Add(
                $"Outside what was measured ({Amperes(set, set.LowAmperes)} to {Amperes(set, set.HighAmperes)}, {Volts(set, set.LowVolts)} to {Volts(set, set.HighVolts)}), and true only if the shape holds there: {string.Join("; ", extrapolated)}."
            );
        }

        return findings;
    }

    private static void Assumptions(List<string> findings, ReadingSet set, CurveFit? fit)
    {
        if (!set.IsKnown)
        {
            findings.Add(
                fit is null
                    ? "No uncertainties were stated, and a curve through every point has no scatter to judge by: no uncertainty can be said."
                : set.AmperesExact
                    ? "No uncertainties were stated: the amperes are taken as exact and the scatter of the volts gives the uncertainty."
                : "No uncertainties were stated: both axes are taken to err by an equal fraction of their span, sized by the scatter."
            );
        }
        else if (set.AmperesExact)
        {
            findings.Add("No uncertainty was stated for the amperes: they are taken as exact.");
        }

        if (fit is { IsWithinDigit: true } && set.DigitVariance > 0)
        {
            findings.Add(
                "The readings lie on the curve to their last digit, and that digit gives the uncertainty: the meters' own comes on top. State it."
            );
        }
        else if (!set.IsKnown && fit is { Degrees: > 0 } && Miss(fit) < NoScatter)
        {
            findings.Add(
                "The readings lie on the curve to their last digit: the scatter says nothing of the meters, and no uncertainty comes of it. State the meters' own."
            );
        }

        if (fit is not null && !set.IsKnown && !SetAside.Agrees(fit))
        {
            findings.Add(
                $"The readings keep to one side of the {VoltAmpNames.Of(fit.Model)} for longer than chance allows: the source follows it only roughly, by {Figures.Of(100 * fit.Ratio, 2)} % of the span, and no reading is to blame."
            );
        }

        if (fit is { Degrees: 0 })
        {
            findings.Add(
                "The shape has as many parameters as there are points: nothing is left to check it by. Measure more points."
            );
        }
    }

    private static void Scatter(List<string> findings, CurveFit fit)
    {
        if (fit.ScattersTooMuch)
        {
            findings.Add(
                $"The readings scatter {Math.Sqrt(fit.Squares / fit.Degrees):F1} times their stated uncertainties (chi-squared {Figures.Of(fit.Squares, 4)} for {fit.Degrees} degrees of freedom). {(fit.IsEnlarged ? "All uncertainties here are enlarged by that ratio." : "The stated ones are used as they are, as asked.")}"
            );
        }
    }

    private static bool Inside(ReadingSet set, (double Amperes, double Volts) knee) =>
        knee.Amperes >= set.LowAmperes
        && knee.Amperes <= set.HighAmperes + (FittedTrace.Margin * set.SpanAmperes)
        && knee.Volts >= set.LowVolts
        && knee.Volts <= set.HighVolts + (FittedTrace.Margin * set.SpanVolts);

    private static string Named(ReadingSet set, CurvePoint point, int index) =>
        $"Point {index + 1} ({Amperes(set, point.Amperes)}, {Volts(set, point.Volts)})";

    private static (double Amperes, double Volts) Miss(CurveFit fit, in CurveShape.Reading reading, double foot)
    {
        var p = fit.Shape.Count;
        Span<double> scratch = stackalloc double[2 * p];
        if (double.IsNaN(foot))
        {
            fit.Shape.Distance(fit.Parameters, reading, ref foot, []);
        }

        var point = fit.Shape.At(foot, fit.Parameters, scratch[..p], scratch[p..]);
        return (reading.Amperes - point.Amperes, reading.Volts - point.Volts);
    }
}
