using LoadTest.Analysis.Heat;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>A heat run: temperatures over time, those taken for the equilibrium, and the curve through them.</summary>
public static class HeatPlot
{
    private const int CurvePoints = 120;

    /// <summary>Draws the heat run.</summary>
    /// <param name="unit">The unit's temperature, °C over minutes.</param>
    /// <param name="air">The air's; empty without one.</param>
    /// <param name="taken">Temperatures taken.</param>
    /// <param name="warmUp">The curve through those; null when none could be named.</param>
    /// <param name="limit">Highest temperature that would not trip; null for none.</param>
    public static Plot Draw(TimeSeries unit, TimeSeries air, TimeSeries taken, WarmUp? warmUp, double? limit)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(air);
        ArgumentNullException.ThrowIfNull(taken);
        var plot = PlotStyle.Create("", "time since the run was opened, min", "temperature, °C");
        if (unit.Minutes.Count == 0)
            return plot;
        var (from, to) = (unit.Minutes[0], unit.Minutes[^1]);
        var all = unit.Values.Concat(air.Values).ToArray();
        var (low, high) = (all.Min(), Math.Max(all.Max(), limit ?? double.NegativeInfinity));
        var room = 0.08 * Math.Max(high - low, 1);
        plot.Axes.SetLimits(from, to + 0.14 * (to - from), PlotStyle.Finite(low - room), PlotStyle.Finite(high + room));
        if (limit is { } most)
        {
            plot.Add.HorizontalLine(PlotStyle.Finite(most), 1.2f, PlotStyle.Limit, LinePattern.Dashed);
            PlotStyle.Write(plot, $" trips above {most:0.#} °C", from, most, PlotStyle.Limit, Alignment.UpperLeft);
        }
        Line(plot, unit, PlotStyle.Measured, 1.2f, LinePattern.Solid, "unit");
        Line(plot, air, PlotStyle.Second, 1.2f, LinePattern.Solid, "air");
        double[] minutes = [.. taken.Minutes.Select(PlotStyle.Finite)];
        double[] celsius = [.. taken.Values.Select(PlotStyle.Finite)];
        var markers = plot.Add.ScatterPoints(minutes, celsius, PlotStyle.Ink);
        markers.MarkerSize = 6;
        markers.MarkerShape = MarkerShape.FilledCircle;
        // Last, because the library would draw markers after a dashed line with its dashes, which a picture in SVG cannot hold.
        if (warmUp is not null && taken.Minutes.Count > 0)
            Line(plot, Curve(warmUp, taken.Minutes[0], to), PlotStyle.Ink, 1.1f, LinePattern.DenselyDashed, "");
        return plot;
    }

    private static TimeSeries Curve(WarmUp warmUp, double from, double to)
    {
        var (minutes, celsius) = (new double[CurvePoints], new double[CurvePoints]);
        for (var k = 0; k < CurvePoints; k++)
        {
            minutes[k] = from + (to - from) * k / (CurvePoints - 1);
            var done = 1 - Math.Exp(-(minutes[k] - from) * 60 / warmUp.TimeConstantSeconds.Value);
            celsius[k] = warmUp.Start.Value + warmUp.Rise.Value * done;
        }
        return new TimeSeries(minutes, celsius);
    }

    private static void Line(Plot plot, TimeSeries series, Color color, float width, LinePattern pattern, string name)
    {
        if (series.Minutes.Count == 0)
            return;
        double[] minutes = [.. series.Minutes.Select(PlotStyle.Finite)];
        double[] values = [.. series.Values.Select(PlotStyle.Finite)];
        var line = plot.Add.ScatterLine(minutes, values, color);
        line.LineWidth = width;
        line.LinePattern = pattern;
        var right = minutes[^1] + 0.01 * (minutes[^1] - minutes[0]);
        if (name.Length > 0)
            PlotStyle.Write(plot, name, right, values[^1], color, Alignment.MiddleLeft);
    }
}
