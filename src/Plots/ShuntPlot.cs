using LoadTest.Analysis.Shunts;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>One sweep in a picture of a shunt.</summary>
/// <param name="Name">Said beside the points: as found, as left.</param>
/// <param name="Ratio">The analysed sweep.</param>
public sealed record ShuntSeries(string Name, ShuntRatio Ratio);

/// <summary>Error of the unit's shunt against current, with the limits it is held to and the uncertainty of every point.</summary>
public static class ShuntPlot
{
    /// <summary>Draws up to three sweeps.</summary>
    /// <param name="title">One line above; empty for none.</param>
    /// <param name="series">Sweeps, in order of time.</param>
    /// <param name="lowerPercent">Lower limit of the ratio error, percent; null for none.</param>
    /// <param name="upperPercent">Upper limit, percent; null for none.</param>
    public static Plot Draw(string title, IReadOnlyList<ShuntSeries> series, double? lowerPercent, double? upperPercent)
    {
        ArgumentNullException.ThrowIfNull(series);
        var plot = PlotStyle.Create(title, "current by the reference shunt, A", "error of the shunt's ratio, %");
        var errors = series.SelectMany(s => s.Ratio.Points).ToArray();
        if (errors.Length == 0)
            return plot;
        var rightmost = errors.Max(p => p.Point.ReferenceAmperes) * 1.16;
        var (low, high) = Extent(errors, lowerPercent, upperPercent);
        plot.Axes.SetLimits(0, rightmost, low, high);
        LimitLines.Draw(plot, rightmost, lowerPercent, upperPercent, "limit");
        plot.Add.HorizontalLine(0, 0.8f, PlotStyle.Ink);
        Color[] colors = [PlotStyle.Reference, PlotStyle.Measured, PlotStyle.Second];
        for (var i = 0; i < series.Count; i++)
            Sweep(plot, series[i], series.Count == 1 ? PlotStyle.Measured : colors[i % colors.Length], rightmost);
        return plot;
    }

    private static (double Low, double High) Extent(ShuntPointResult[] errors, double? lower, double? upper)
    {
        var low = Math.Min(errors.Min(p => p.ErrorPercent - p.ExpandedPercent), Math.Min(lower ?? 0, 0));
        var high = Math.Max(errors.Max(p => p.ErrorPercent + p.ExpandedPercent), Math.Max(upper ?? 0, 0));
        var room = Math.Max(0.12 * (high - low), 0.02);
        return (PlotStyle.Finite(low - room), PlotStyle.Finite(high + room));
    }

    private static void Sweep(Plot plot, ShuntSeries series, Color color, double rightmost)
    {
        var points = series.Ratio.Points;
        foreach (var way in points.GroupBy(p => Math.Sign(p.Point.Direction)))
        {
            // A hair apart, so that up and down at the same current do not cover each other.
            var apart = 0.004 * rightmost * way.Key;
            double[] amperes = [.. way.Select(p => PlotStyle.Finite(p.Point.ReferenceAmperes) - apart)];
            double[] errors = [.. way.Select(p => PlotStyle.Finite(p.ErrorPercent))];
            PlotStyle.Bars(plot, amperes, errors, [.. way.Select(p => p.ExpandedPercent)], color);
            var line = plot.Add.ScatterLine(amperes, errors, color);
            line.LineWidth = 1.2f;
            line.LinePattern = way.Key < 0 ? LinePattern.Dotted : LinePattern.Solid;
            var markers = plot.Add.ScatterPoints(amperes, errors, color);
            markers.MarkerSize = 10;
            markers.MarkerShape = way.Key switch
            {
                > 0 => MarkerShape.FilledTriangleUp,
                < 0 => MarkerShape.FilledTriangleDown,
                _ => MarkerShape.FilledCircle,
            };
        }
        var last = points.MaxBy(p => p.Point.ReferenceAmperes);
        PlotStyle.Write(
            plot,
            series.Name,
            last.Point.ReferenceAmperes + 0.014 * rightmost,
            last.ErrorPercent,
            PlotStyle.Ink,
            Alignment.MiddleLeft
        );
    }
}
