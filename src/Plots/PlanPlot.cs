using ScottPlot;

namespace LoadTest.Plots;

/// <summary>A plan drawn as load against time: amperes filled, volts as lines, groups named along the top.</summary>
public static class PlanPlot
{
    private const double ReferenceWidth = 900;
    private const double CharacterWidth = 6.9;
    private const double RowHeight = 0.065;

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
        var labels = Rows(Bands(segments), end);
        var headroom = 1.05 + RowHeight * (labels.Max(l => l.Row) + 1);
        var highest = Math.Max(amperes.Max(), 1) * headroom;

        Name(plot, labels, highest);
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

    private sealed record Band(string Group, double From, double To);

    /// <summary>Neighbours of the same group as one band.</summary>
    private static List<Band> Bands(IReadOnlyList<LoadSegment> segments)
    {
        var bands = new List<Band>();
        foreach (var segment in segments)
        {
            var (from, to) = (segment.Start.TotalMinutes, segment.End.TotalMinutes);
            if (bands.Count > 0 && bands[^1].Group == segment.Group)
                bands[^1] = bands[^1] with { To = to };
            else
                bands.Add(new Band(segment.Group, from, to));
        }
        return bands;
    }

    /// <summary>Gives each name the lowest row in which it covers no other; names keep clear of the right edge.</summary>
    private static List<(Band Band, double At, int Row)> Rows(List<Band> bands, double end)
    {
        var perPixel = end / ReferenceWidth;
        var taken = new List<double>();
        var placed = new List<(Band, double, int)>();
        foreach (var band in bands)
        {
            var width = (band.Group.Length * CharacterWidth + 8) * perPixel;
            var at = Math.Max(0, Math.Min(band.From, end - width));
            var row = taken.FindIndex(t => t <= at);
            if (row < 0)
            {
                row = taken.Count;
                taken.Add(0);
            }
            taken[row] = at + width;
            placed.Add((band, at, row));
        }
        return placed;
    }

    private static void Name(Plot plot, List<(Band Band, double At, int Row)> labels, double top)
    {
        var highest = top / (1.05 + RowHeight * (labels.Max(l => l.Row) + 1));
        var named = labels.Where(l => l.Band.Group.Length > 0).ToArray();
        foreach (var (band, _, _) in named.Where((_, index) => index % 2 == 1))
        {
            var shade = plot.Add.Rectangle(band.From, band.To, 0, top);
            shade.FillColor = PlotStyle.Faint.WithAlpha(0.35);
            shade.LineWidth = 0;
        }
        foreach (var (band, at, row) in named)
        {
            var y = top - row * RowHeight * highest;
            var mark = plot.Add.Line(band.From, 0, band.From, y);
            mark.Color = PlotStyle.Faint;
            mark.LineWidth = 1;
            PlotStyle.Write(plot, band.Group, at, y, PlotStyle.Ink, Alignment.UpperLeft);
        }
    }
}
