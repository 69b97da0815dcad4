using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.Plots;

/// <summary>Points along a fitted volt-amp curve with its band, by amperes where it is flat and by volts where it is steep.</summary>
internal static class CurveSampling
{
    private const int Strides = 120;

    /// <summary>One sample, with the band's edges on its two sides.</summary>
    public readonly record struct Sample(
        double Amperes,
        double Volts,
        double UpperAmperes,
        double UpperVolts,
        double LowerAmperes,
        double LowerVolts
    );

    /// <summary>Samples over what was measured, in order along the curve.</summary>
    public static IReadOnlyList<Sample> Of(VoltAmpCurve curve)
    {
        var (left, right) = (Math.Max(0, curve.LowestAmperes), curve.HighestAmperes);
        var (bottom, top) = (curve.Points.Min(p => p.Volts), curve.Points.Max(p => p.Volts));
        // Steepness is judged as the eye does, by the picture, whose axes begin at zero.
        var (width, height) = (Math.Max(right, 1e-9), Math.Max(top, 1e-9));
        var all = new List<Sample>();
        for (var k = 0; k <= Strides; k++)
        {
            var (amperes, volts) = (left + (right - left) * k / Strides, bottom + (top - bottom) * k / Strides);
            var flat = ByAmperes(curve, amperes);
            if (flat is { } f && IsFlat(curve, amperes, width, height))
                all.Add(f);
            var steep = ByVolts(curve, volts);
            if (steep is { } s && s.Amperes >= left - 0.01 * width && IsUpright(curve, s, width, height))
                all.Add(s);
        }
        // Along a curve that runs right or down this grows, whichever of the two it does.
        all.Sort((a, b) => Along(a).CompareTo(Along(b)));
        return all;

        double Along(Sample s) => (s.Amperes - left) / width - (s.Volts - bottom) / height;
    }

    // Falls by less of its height than it gains of its width, over a five-hundredth of the width.
    private static bool IsFlat(VoltAmpCurve curve, double amperes, double width, double height)
    {
        var step = width / 500;
        return curve.Evaluate(amperes - step) is { } before
            && curve.Evaluate(amperes) is { } here
            && curve.Evaluate(amperes + step) is { } after
            && Math.Max(Math.Abs(before.Value - here.Value), Math.Abs(after.Value - here.Value)) / height
                <= step / width;
    }

    // Steep there, and not above what the curve reaches just before: a branch drawn on beyond its knee is no curve.
    private static bool IsUpright(VoltAmpCurve curve, Sample sample, double width, double height) =>
        !IsFlat(curve, sample.Amperes, width, height)
        && !(curve.Evaluate(sample.Amperes - width / 500) is { } before && sample.Volts > before.Value + height / 500);

    private static Sample? ByAmperes(VoltAmpCurve curve, double amperes)
    {
        if (curve.Evaluate(amperes) is not { } volts || !double.IsFinite(volts.Value))
            return null;
        var band = curve.ConfidenceBand(amperes);
        var half = band is { } b && double.IsFinite(b.HalfWidth) ? b.HalfWidth : 0;
        return new Sample(amperes, volts.Value, amperes, volts.Value + half, amperes, volts.Value - half);
    }

    private static Sample? ByVolts(VoltAmpCurve curve, double volts)
    {
        if (curve.OperatingPoint(LoadLine.Given("level", volts, 0)) is not { } point)
            return null;
        var amperes = point.Amperes;
        if (!double.IsFinite(amperes.Value))
            return null;
        var half = double.IsFinite(amperes.StandardUncertainty)
            ? StudentT.TwoSided(curve.Coverage, amperes.DegreesOfFreedom) * amperes.StandardUncertainty
            : 0;
        return new Sample(amperes.Value, volts, amperes.Value + half, volts, amperes.Value - half, volts);
    }
}
