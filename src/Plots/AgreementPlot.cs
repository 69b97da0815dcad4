using LoadTest.Analysis;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>Set, indicated and actual at one point.</summary>
/// <param name="Set">Setting of the control, above zero.</param>
/// <param name="Indicated">On the unit's panel meter, same unit.</param>
/// <param name="Actual">By the bench's reference, same unit.</param>
/// <param name="Tolerance">What any two may differ by, same unit, zero or more; null where nothing is said.</param>
public readonly record struct AgreementPoint(double Set, Estimate Indicated, Estimate Actual, double? Tolerance);

/// <summary>Who is wrong: indicated and actual as departures from set, in percent of set, on one axis.</summary>
/// <remarks>Indicated at zero and actual away from it: the shunt or its wiring. Both away together: control or remote.
/// Indicated away alone: the panel meter.</remarks>
public static class AgreementPlot
{
    private const double Percent = 100;

    /// <summary>Draws the points.</summary>
    /// <param name="headline">What they say, written in the picture; empty for nothing.</param>
    /// <param name="quantity">What is set, with its unit: <c>set current, A</c>.</param>
    /// <param name="points">Points in order of measurement.</param>
    /// <param name="coverageFactor">k of the uncertainty bars.</param>
    public static Plot Draw(
        string headline,
        string quantity,
        IReadOnlyList<AgreementPoint> points,
        double coverageFactor
    )
    {
        ArgumentNullException.ThrowIfNull(headline);
        ArgumentNullException.ThrowIfNull(points);
        var plot = PlotStyle.Create("", quantity, "departure from set, % of set");
        if (points.Count == 0)
            return plot;
        var rightmost = points.Max(p => p.Set) * 1.2;
        var indicated = Series(points, p => p.Indicated, coverageFactor);
        var actual = Series(points, p => p.Actual, coverageFactor);
        var last = IndexOfLast(points);
        var (low, high) = Extent([.. indicated, .. actual], Allowed(points[last]));
        plot.Axes.SetLimits(0, rightmost, low, high);
        Tolerance(plot, points, rightmost, low, high);
        plot.Add.HorizontalLine(0, 0.8f, PlotStyle.Ink);
        // The words of the higher one stand above it, of the lower one below, clear of the line at zero.
        var isActualAbove = actual[last].Value >= indicated[last].Value;
        Draw(plot, points, indicated, "indicated", PlotStyle.Third, MarkerShape.FilledSquare, -1, !isActualAbove);
        Draw(plot, points, actual, "actual", PlotStyle.Measured, MarkerShape.FilledCircle, +1, isActualAbove);
        PlotStyle.Write(plot, "set", rightmost, 0, PlotStyle.Ink, Alignment.LowerRight);
        if (headline.Length > 0)
            PlotStyle.Write(plot, headline, 0, high, PlotStyle.Ink, Alignment.UpperLeft);
        return plot;
    }

    private static (double Low, double High) Extent(IEnumerable<(double Value, double Bar)> all, double? allowed)
    {
        var (low, high) = (-(allowed ?? 0), allowed ?? 0);
        foreach (var (value, bar) in all)
            (low, high) = (Math.Min(low, value - bar), Math.Max(high, value + bar));
        var span = Math.Max(high - low, 0.1);
        // Room above for the words.
        return (low - 0.12 * span, high + 0.2 * span);
    }

    private static double? Allowed(AgreementPoint point) =>
        point.Tolerance is { } t ? PlotStyle.Finite(t / point.Set * Percent) : null;

    // Through the tolerances of the settings, level to both sides of them: an absolute one widens towards small settings.
    private static void Tolerance(
        Plot plot,
        IReadOnlyList<AgreementPoint> points,
        double rightmost,
        double low,
        double high
    )
    {
        var edge = points
            .Where(p => p.Tolerance is not null)
            .DistinctBy(p => p.Set)
            .OrderBy(p => p.Set)
            .Select(p => (p.Set, Allowed: Allowed(p)!.Value))
            .ToArray();
        if (edge.Length == 0)
            return;
        double[] at = [0, .. edge.Select(e => e.Set), rightmost];
        double[] allowed = [edge[0].Allowed, .. edge.Select(e => e.Allowed), edge[^1].Allowed];
        // The picture cuts off what lies beyond its edges.
        foreach (var (sign, outside) in new[] { (+1, allowed.Max() + high), (-1, low - allowed.Max()) })
        {
            double[] line = [.. allowed.Select(a => sign * a)];
            Coordinates[] beyond =
            [
                .. at.Zip(line, (x, y) => new Coordinates(x, y)),
                new(rightmost, outside),
                new(0, outside),
            ];
            var shade = plot.Add.Polygon(beyond);
            shade.FillColor = PlotStyle.Limit.WithAlpha(0.07);
            shade.LineWidth = 0;
            var drawn = plot.Add.ScatterLine(at, line, PlotStyle.Limit);
            drawn.LineWidth = 1.2f;
            drawn.LinePattern = LinePattern.Dashed;
            PlotStyle.Write(
                plot,
                $"allowed {sign * edge[^1].Allowed:+0.0##;−0.0##;0} %",
                rightmost,
                sign * edge[^1].Allowed,
                PlotStyle.Limit,
                sign > 0 ? Alignment.LowerRight : Alignment.UpperRight
            );
        }
    }

    private static (double Value, double Bar)[] Series(
        IReadOnlyList<AgreementPoint> points,
        Func<AgreementPoint, Estimate> of,
        double k
    ) =>
        [
            .. points.Select(p =>
                (
                    PlotStyle.Finite((of(p).Value - p.Set) / p.Set * Percent),
                    PlotStyle.Finite(k * of(p).StandardUncertainty / p.Set * Percent)
                )
            ),
        ];

    private static void Draw(
        Plot plot,
        IReadOnlyList<AgreementPoint> points,
        (double Value, double Bar)[] series,
        string name,
        Color color,
        MarkerShape shape,
        int side,
        bool isAbove
    )
    {
        // Set a hair to either side, so that bars at the same setting do not cover each other.
        var apart = 0.004 * points.Max(p => p.Set) * side;
        double[] at = [.. points.Select(p => p.Set + apart)];
        double[] values = [.. series.Select(s => s.Value)];
        PlotStyle.Bars(plot, at, values, [.. series.Select(s => s.Bar)], color);
        var markers = plot.Add.ScatterPoints(at, values, color);
        markers.MarkerSize = 8;
        markers.MarkerShape = shape;
        var last = IndexOfLast(points);
        PlotStyle.Write(
            plot,
            name,
            at[last] + 3 * Math.Abs(apart),
            values[last],
            color,
            isAbove ? Alignment.LowerLeft : Alignment.UpperLeft
        );
    }

    private static int IndexOfLast(IReadOnlyList<AgreementPoint> points)
    {
        var last = 0;
        for (var i = 1; i < points.Count; i++)
            last = points[i].Set > points[last].Set ? i : last;
        return last;
    }
}
