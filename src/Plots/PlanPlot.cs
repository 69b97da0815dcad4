using ScottPlot;

namespace LoadTest.Plots;

/// <summary>A plan drawn as load against time: amperes filled, volts as lines, groups named along the top.</summary>
public static class PlanPlot
{
    private const double ReferenceWidth = 900;

    /// <summary>Draws the segments; gaps between them are drawn as unloaded.</summary>
    /// <param name="title">Name of the plan.</param>
    /// <param name="segments">Stretches in order of time.</param>
    /// <exception cref="ArgumentException">A segment ends before it starts or carries a number that is not finite.</exception>
    public static Plot Draw(string title, IReadOnlyList<LoadSegment> segments)
    {
        ArgumentNullException.ThrowIfNull(segments);
        var plot = PlotStyle.Create(title, "time, min", "output current, A (filled)");
        if (segments.Count == 0)
            return plot;
        var (times, amperes) = Corners(segments);
        var end = Math.Max(times[^1], 1e-3);
        var labels = TimeBands.Place(Bands(segments), end, ReferenceWidth);
        var headroom = TimeBands.Headroom(labels);
        var highest = Math.Max(amperes.Max(), 1) * headroom;

        TimeBands.Draw(plot, labels, highest);
        var area = plot.Add.FillY(times, new double[times.Length], amperes);
        area.FillColor = PlotStyle.Measured.WithAlpha(0.18);
        area.LineWidth = 0;
        var current = plot.Add.ScatterLine(times, amperes, PlotStyle.Measured);
        current.LineWidth = 1.4f;
        Volts(plot, segments);
        plot.Axes.Left.Label.ForeColor = PlotStyle.Measured;
        plot.Axes.SetLimits(0, end, 0, highest);
        plot.Axes.Right.Range.Set(0, Math.Max(segments.Max(s => s.Volts), 1) * headroom);
        return plot;
    }

    private static void Volts(Plot plot, IReadOnlyList<LoadSegment> segments)
    {
        foreach (var segment in segments.Where(s => PlotStyle.Finite(s.Volts) > 0))
        {
            var line = plot.Add.Line(
                segment.Start.TotalMinutes,
                segment.Volts,
                segment.End.TotalMinutes,
                segment.Volts
            );
            line.Color = PlotStyle.Limit;
            line.LineWidth = 1.8f;
            line.Axes.YAxis = plot.Axes.Right;
        }
        var axis = plot.Axes.Right;
        axis.FrameLineStyle.IsVisible = true;
        axis.Label.Text = "volts at the studs, V (lines)";
        axis.Label.FontSize = 13;
        axis.Label.Bold = false;
        axis.Label.FontName = EmbeddedFonts.Family;
        axis.Label.ForeColor = PlotStyle.Limit;
        axis.TickLabelStyle.FontSize = 12;
    }

    private static (double[] Minutes, double[] Amperes) Corners(IReadOnlyList<LoadSegment> segments)
    {
        var times = new List<double>();
        var amperes = new List<double>();
        void Corner(double minutes, double value)
        {
            times.Add(minutes);
            amperes.Add(PlotStyle.Finite(value));
        }

        var last = 0.0;
        foreach (var segment in segments)
        {
            var (start, end) = (segment.Start.TotalMinutes, segment.End.TotalMinutes);
            if (end < start || start < last)
                throw new ArgumentException(
                    $"Segment {segment.Group} runs from {segment.Start} to {segment.End} and overlaps its neighbour or ends before it starts; give segments in order of time.",
                    nameof(segments)
                );
            if (start > last)
            {
                Corner(last, 0);
                Corner(start, 0);
            }
            Corner(start, segment.Amperes);
            Corner(end, segment.Amperes);
            last = end;
        }
        return ([.. times], [.. amperes]);
    }

    /// <summary>Neighbours of the same group as one band.</summary>
    private static List<TimeSpanMark> Bands(IReadOnlyList<LoadSegment> segments)
    {
        var bands = new List<TimeSpanMark>();
        foreach (var segment in segments)
        {
            var (from, to) = (segment.Start.TotalMinutes, segment.End.TotalMinutes);
            if (bands.Count > 0 && bands[^1].Name == segment.Group)
                bands[^1] = bands[^1] with { To = to };
            else
                bands.Add(new TimeSpanMark(from, to, segment.Group));
        }
        return bands;
    }
}
