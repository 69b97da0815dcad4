using LoadTest.Analysis;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>Set, indicated and actual at one point.</summary>
/// <param name="Set">Setting of the control, above zero.</param>
/// <param name="Indicated">On the unit's panel meter, same unit.</param>
/// <param name="Actual">By the bench's reference, same unit.</param>
public readonly record struct AgreementPoint(double Set, Estimate Indicated, Estimate Actual);

/// <summary>Who is wrong: indicated and actual as departures from set, in percent of set, on one axis.</summary>
/// <remarks>Indicated at zero and actual away from it: the shunt or its wiring. Both away together: control or remote.
/// Indicated away alone: the panel meter.</remarks>
public static class AgreementPlot
{
    private const double Percent = 100;

    /// <summary>Draws the points.</summary>
    /// <param name="title">One line above; empty for none.</param>
    /// <param name="quantity">What is set, with its unit: <c>set current, A</c>.</param>
    /// <param name="points">Points in order of measurement.</param>
    /// <param name="tolerancePercent">What any two may differ by, percent of set; null for none.</param>
    /// <param name="coverageFactor">k of the uncertainty bars.</param>
    public static Plot Draw(
        string title,
        string quantity,
        IReadOnlyList<AgreementPoint> points,
        double? tolerancePercent,
        double coverageFactor
    )
    {
        ArgumentNullException.ThrowIfNull(points);
        var plot = PlotStyle.Create(title, quantity, "departure from set, % of set");
        if (points.Count == 0)
            return plot;
        var rightmost = points.Max(p => p.Set) * 1.2;
        var indicated = Series(points, p => p.Indicated, coverageFactor);
        var actual = Series(points, p => p.Actual, coverageFactor);
        var reach =
            indicated.Concat(actual).Max(d => Math.Abs(d.Value) + d.Bar) is var most && tolerancePercent is { } t
                ? Math.Max(most, t)
                : most;
        plot.Axes.SetLimits(0, rightmost, -1.2 * reach, 1.2 * reach);
        LimitLines.Draw(plot, rightmost, -tolerancePercent, tolerancePercent, "allowed");
        plot.Add.HorizontalLine(0, 0.8f, PlotStyle.Ink);
        // The words of the higher one stand above it, of the lower one below, clear of the line at zero.
        var last = IndexOfLast(points);
        var isActualAbove = actual[last].Value >= indicated[last].Value;
        Draw(plot, points, indicated, "indicated", PlotStyle.Third, MarkerShape.FilledSquare, -1, !isActualAbove);
        Draw(plot, points, actual, "actual", PlotStyle.Measured, MarkerShape.FilledCircle, +1, isActualAbove);
        PlotStyle.Write(plot, "set", 0, 0, PlotStyle.Ink);
        return plot;
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
