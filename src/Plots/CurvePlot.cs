using LoadTest.Analysis.VoltAmp;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>A volt-amp curve: readings, fitted curve with its band, load line and operating point.</summary>
public static class CurvePlot
{
    private const double Headroom = 1.12;
    private const double RoomBeside = 1.35;
    private const double RoomForMore = 1.6;
    private const double RoomForWords = 1.22;
    private const double RoomForName = 0.014;
    private const double HeightOfName = 0.055;
    private const double LineBefore = 0.2;
    private const double NameBeside = 0.016;
    private const float MarkerSize = 7;
    private const float CrossWidth = 2;

    /// <summary>Draws the curve.</summary>
    /// <param name="title">One line above; empty for none.</param>
    /// <param name="curve">The fitted curve.</param>
    /// <param name="lines">Load lines with the operating points on them; the numbers are written where there is one line.</param>
    public static Plot Draw(string title, VoltAmpCurve curve, params IReadOnlyList<LoadLine> lines)
    {
        ArgumentNullException.ThrowIfNull(curve);
        ArgumentNullException.ThrowIfNull(lines);
        var plot = PlotStyle.Create(title, "output current, A", "output voltage, V");
        var meets = lines.Select(curve.OperatingPoint).OfType<OperatingPoint>().ToArray();
        var rightmost = Math.Max(curve.HighestAmperes * Headroom, 1);
        if (lines.Count == 1 && meets is [var only] && IsUpright(curve, only.Amperes.Value))
            rightmost = Math.Max(rightmost, only.Amperes.Value * (only.IsExtrapolated ? RoomForMore : RoomBeside));
        var top = Math.Max(curve.Points.Max(p => p.Volts) * RoomForWords, 1);
        var names = lines.Count < 2 ? 0 : RoomForName * lines.Max(l => l.Name.Length);
        plot.Axes.SetLimits(0, rightmost * (1 + names), 0, top);

        var samples = CurveSampling.Of(curve);
        Band(plot, samples);
        foreach (var line in lines)
            Line(plot, line, Begin(curve, line, rightmost), rightmost);
        NameLines(plot, curve, lines, rightmost, top);
        double[] amperes = [.. samples.Select(s => s.Amperes)];
        double[] volts = [.. samples.Select(s => s.Volts)];
        var fitted = plot.Add.ScatterLine(amperes, volts, PlotStyle.Measured);
        fitted.LineWidth = 1.8f;
        fitted.LinePattern = curve.IsWithoutShape ? LinePattern.Dotted : LinePattern.Solid;
        Readings(plot, curve, rightmost);
        foreach (var line in lines)
            Meeting(plot, curve, line, lines.Count == 1, rightmost, top);
        Name(plot, curve, samples, top);
        return plot;
    }

    private static void Band(Plot plot, IReadOnlyList<CurveSampling.Sample> samples)
    {
        if (samples.Count < 2)
            return;
        Coordinates[] edge =
        [
            .. samples.Select(s => new Coordinates(s.UpperAmperes, s.UpperVolts)),
            .. samples.Reverse().Select(s => new Coordinates(s.LowerAmperes, s.LowerVolts)),
        ];
        var band = plot.Add.Polygon(edge);
        band.FillColor = PlotStyle.Measured.WithAlpha(0.22);
        band.LineWidth = 0;
    }

    // A load line is of use where it meets the curve: the rest of it would only fill the picture.
    private static double Begin(VoltAmpCurve curve, LoadLine line, double end) =>
        curve.OperatingPoint(line) is { } point
            ? Math.Clamp(point.Amperes.Value - LineBefore * end, 0, (1 - LineBefore) * end)
            : 0;

    private static void Line(Plot plot, LoadLine line, double begin, double end)
    {
        double[] amperes = [begin, Math.Clamp(line.LevelAbove, begin, end), end];
        double[] volts = [.. amperes.Select(line.Volts)];
        var drawn = plot.Add.ScatterLine(amperes, volts, PlotStyle.Reference);
        drawn.LineWidth = 1.2f;
        drawn.LinePattern = LinePattern.Dashed;
    }

    // Several lines lie close together at no current, so their names stand at their other end, one above the other.
    private static void NameLines(Plot plot, VoltAmpCurve curve, IReadOnlyList<LoadLine> lines, double end, double top)
    {
        if (lines is [var alone])
        {
            var begin = Begin(curve, alone, end);
            var at = begin + 0.01 * end;
            PlotStyle.Write(plot, alone.Name, at, alone.Volts(begin), PlotStyle.ReferenceInk, Alignment.UpperLeft);
            return;
        }
        var free = 0.0;
        foreach (var line in lines.OrderBy(l => l.Volts(end)))
        {
            var height = Math.Max(line.Volts(end), free);
            PlotStyle.Write(plot, line.Name, end, height, PlotStyle.ReferenceInk, Alignment.MiddleLeft);
            free = height + HeightOfName * top;
        }
    }

    private static void Readings(Plot plot, VoltAmpCurve curve, double width)
    {
        foreach (var group in curve.Points.GroupBy(p => p.IsOutlier || p.IsSetAside))
        {
            double[] amperes = [.. group.Select(p => p.Amperes)];
            double[] volts = [.. group.Select(p => p.Volts)];
            var points = plot.Add.ScatterPoints(amperes, volts, group.Key ? PlotStyle.Limit : PlotStyle.Measured);
            points.MarkerSize = MarkerSize;
            points.MarkerShape = group.Key ? MarkerShape.Eks : MarkerShape.FilledCircle;
            if (!group.Key)
                continue;
            points.MarkerLineWidth = CrossWidth;
            foreach (var p in group)
            {
                var words = p.IsSetAside ? "reading set aside" : "far from the curve";
                var isRight = p.Amperes > 0.7 * width;
                var at = p.Amperes + (isRight ? -NameBeside : NameBeside) * width;
                PlotStyle.Write(
                    plot,
                    words,
                    at,
                    p.Volts,
                    PlotStyle.Limit,
                    isRight ? Alignment.MiddleRight : Alignment.MiddleLeft
                );
            }
        }
    }

    private static void Meeting(Plot plot, VoltAmpCurve curve, LoadLine line, bool isAlone, double width, double height)
    {
        if (curve.OperatingPoint(line) is not { } point)
            return;
        var (amperes, volts) = (point.Amperes.Value, point.Volts.Value);
        var ring = plot.Add.Marker(amperes, volts, MarkerShape.OpenCircle, 15, PlotStyle.Ink);
        ring.MarkerStyle.LineWidth = 1.6f;
        if (!isAlone)
            return;
        var words = $"{amperes:0.0} A, {volts:0.0} V{(point.IsExtrapolated ? " (extrapolated)" : "")}";
        // Curve and load line cross here: beside an upright curve there is room on its right, between two flat ones below them.
        if (IsUpright(curve, amperes))
            PlotStyle.Write(plot, words, amperes + 0.014 * width, volts, PlotStyle.Ink, Alignment.UpperLeft);
        else
            PlotStyle.Write(plot, words, amperes, volts - 0.05 * height, PlotStyle.Ink, Alignment.UpperCenter);
    }

    // Whether the curve falls by more of its height than it gains of its width, there or a little before.
    private static bool IsUpright(VoltAmpCurve curve, double amperes)
    {
        var step = 0.01 * Math.Max(curve.HighestAmperes, 1);
        var top = Math.Max(curve.Points.Max(p => p.Volts), 1);
        return curve.Evaluate(amperes - step) is not { } before
            || curve.Evaluate(amperes + step) is not { } after
            || (before.Value - after.Value) / top > 2 * 0.01;
    }

    private static void Name(Plot plot, VoltAmpCurve curve, IReadOnlyList<CurveSampling.Sample> samples, double top)
    {
        if (samples.Count > 0)
            PlotStyle.Write(plot, Said(curve, samples, top), 0, top, PlotStyle.Measured, Alignment.UpperLeft);
    }

    private static string Said(VoltAmpCurve curve, IReadOnlyList<CurveSampling.Sample> samples, double top) =>
        curve.IsWithoutShape ? "no shape fits: neighbouring readings joined"
        : curve.Model == VoltAmpModel.Interpolation ? $"readings joined: {curve.ModelName}"
        : $"fitted: {curve.ModelName}\n{BandWords(curve, samples, top)}";

    // A band thinner than the line that is drawn over it is there all the same, and is said.
    private static string BandWords(VoltAmpCurve curve, IReadOnlyList<CurveSampling.Sample> samples, double top)
    {
        const double LineShare = 0.004;
        var widest = samples.Max(s =>
            Math.Max(
                (s.UpperVolts - s.LowerVolts) / top,
                (s.UpperAmperes - s.LowerAmperes) / Math.Max(curve.HighestAmperes, 1)
            )
        );
        return widest < LineShare
            ? $"{curve.Coverage * 100:0.#} % band thinner than the line"
            : $"with its {curve.Coverage * 100:0.#} % band";
    }
}
