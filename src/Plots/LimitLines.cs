using ScottPlot;

namespace LoadTest.Plots;

/// <summary>Horizontal limits, dashed and named, with what lies outside them lightly shaded.</summary>
internal static class LimitLines
{
    /// <summary>Draws the limits that there are; the axes must have been set before.</summary>
    public static void Draw(Plot plot, double rightmost, double? lower, double? upper, string name)
    {
        var shown = plot.Axes.GetLimits();
        if (upper is { } high)
            One(plot, rightmost, PlotStyle.Finite(high), shown.Top, Alignment.LowerLeft, name);
        if (lower is { } low)
            One(plot, rightmost, PlotStyle.Finite(low), shown.Bottom, Alignment.UpperLeft, name);
    }

    private static void One(Plot plot, double rightmost, double at, double outside, Alignment alignment, string name)
    {
        var shade = plot.Add.Rectangle(0, rightmost, Math.Min(at, outside), Math.Max(at, outside));
        shade.FillColor = PlotStyle.Limit.WithAlpha(0.07);
        shade.LineWidth = 0;
        var line = plot.Add.HorizontalLine(at, 1.2f, PlotStyle.Limit, LinePattern.Dashed);
        line.EnableAutoscale = false;
        PlotStyle.Write(plot, $"{name} {at:+0.0##;−0.0##;0} %", 0, at, PlotStyle.Limit, alignment);
    }
}
