using ScottPlot;

namespace LoadTest.Plots;

/// <summary>A plan drawn as load against time: amperes filled, volts as a line, groups named along the top.</summary>
public static class PlanPlot
{
    private const double LabelledShare = 0.04;

    /// <summary>Draws the segments; gaps between them are drawn as unloaded.</summary>
    /// <param name="title">Name of the plan.</param>
    /// <param name="segments">Stretches in order of time.</param>
    /// <exception cref="ArgumentException">A segment ends before it starts or carries a number that is not finite.</exception>
    public static Plot Draw(string title, IReadOnlyList<LoadSegment> segments)
    {
        ArgumentNullException.ThrowIfNull(segments);
        var plot = PlotStyle.Create(title, "time, min", "output current, A");
        if (segments.Count == 0)
            return plot;
        var (times, amperes, volts) = Corners(segments);
        var end = Math.Max(times[^1], 1e-3);
        var highestAmperes = Math.Max(amperes.Max(), 1);
        var highestVolts = Math.Max(volts.Max(), 1);

        Bands(plot, segments, end, highestAmperes * 1.18);
        var area = plot.Add.FillY(times, new double[times.Length], amperes);
        area.FillColor = PlotStyle.Measured.WithAlpha(0.18);
        area.LineWidth = 0;
        var current = plot.Add.ScatterLine(times, amperes, PlotStyle.Measured);
        current.LineWidth = 1.4f;

        var potential = plot.Add.ScatterLine(times, volts, PlotStyle.Limit);
        potential.LineWidth = 1.2f;
        potential.LinePattern = LinePattern.DenselyDashed;
        potential.Axes.YAxis = plot.Axes.Right;
        plot.Axes.Right.FrameLineStyle.IsVisible = true;
        plot.Axes.Right.Label.Text = "volts at the studs, V (dashed)";
        plot.Axes.Right.Label.FontSize = 13;
        plot.Axes.Right.Label.Bold = false;
        plot.Axes.Right.Label.FontName = EmbeddedFonts.Family;
        plot.Axes.Right.Label.ForeColor = PlotStyle.Limit;
        plot.Axes.Right.TickLabelStyle.FontSize = 12;
        plot.Axes.Left.Label.ForeColor = PlotStyle.Measured;
        plot.Axes.SetLimits(0, end, 0, highestAmperes * 1.18);
        plot.Axes.Right.Range.Set(0, highestVolts * 1.18);
        return plot;
    }

    private static (double[] Minutes, double[] Amperes, double[] Volts) Corners(IReadOnlyList<LoadSegment> segments)
    {
        var times = new List<double>();
        var amperes = new List<double>();
        var volts = new List<double>();
        void Corner(double minutes, double a, double v)
        {
            times.Add(minutes);
            amperes.Add(PlotStyle.Finite(a));
            volts.Add(PlotStyle.Finite(v));
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
                Corner(last, 0, 0);
                Corner(start, 0, 0);
            }
            Corner(start, segment.Amperes, segment.Volts);
            Corner(end, segment.Amperes, segment.Volts);
            last = end;
        }
        return ([.. times], [.. amperes], [.. volts]);
    }

    private static void Bands(Plot plot, IReadOnlyList<LoadSegment> segments, double end, double top)
    {
        var shaded = false;
        for (var first = 0; first < segments.Count; )
        {
            var last = first;
            while (last + 1 < segments.Count && segments[last + 1].Group == segments[first].Group)
                last++;
            var group = segments[first].Group;
            if (group.Length > 0)
            {
                var (from, to) = (segments[first].Start.TotalMinutes, segments[last].End.TotalMinutes);
                if (shaded)
                {
                    var band = plot.Add.Rectangle(from, to, 0, top);
                    band.FillColor = PlotStyle.Faint.WithAlpha(0.35);
                    band.LineWidth = 0;
                }
                shaded = !shaded;
                if (to - from >= LabelledShare * end)
                    PlotStyle.Write(plot, group, from, top, PlotStyle.Ink, Alignment.UpperLeft);
            }
            first = last + 1;
        }
    }
}
