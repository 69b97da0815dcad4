using LoadTest.Analysis.Ac;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>A sudden change of load as the fast channel saw it, with the steady band and where it is kept for good.</summary>
public static class TransientPlot
{
    /// <summary>Draws the samples.</summary>
    /// <param name="quantity">What is sampled, with its unit.</param>
    /// <param name="seconds">Moments from the change, s.</param>
    /// <param name="values">Values.</param>
    /// <param name="response">The analysis; null when there is none.</param>
    /// <param name="band">Half-width of the steady band.</param>
    public static Plot Draw(
        string quantity,
        IReadOnlyList<double> seconds,
        IReadOnlyList<double> values,
        StepResponse? response,
        double band
    )
    {
        ArgumentNullException.ThrowIfNull(seconds);
        ArgumentNullException.ThrowIfNull(values);
        var plot = PlotStyle.Create("", "time since the change of load, s", quantity);
        if (seconds.Count == 0)
            return plot;
        var (low, high) = (values.Min(), values.Max());
        if (response is not null)
            (low, high) = (Math.Min(low, response.Settled.Value - band), Math.Max(high, response.Settled.Value + band));
        var room = 0.12 * Math.Max(high - low, 0.1);
        plot.Axes.SetLimits(seconds[0], seconds[^1], PlotStyle.Finite(low - room), PlotStyle.Finite(high + room));
        if (response is not null)
            Band(plot, response, band, seconds[^1], low - 0.6 * room);
        plot.Add.VerticalLine(0, 1f, PlotStyle.Ink, LinePattern.Dotted);
        double[] x = [.. seconds.Select(PlotStyle.Finite)];
        double[] y = [.. values.Select(PlotStyle.Finite)];
        var line = plot.Add.ScatterLine(x, y, PlotStyle.Measured);
        line.LineWidth = 1.4f;
        return plot;
    }

    private static void Band(Plot plot, StepResponse response, double band, double end, double foot)
    {
        var settled = response.Settled.Value;
        var shade = plot.Add.Rectangle(0, end, PlotStyle.Finite(settled - band), PlotStyle.Finite(settled + band));
        shade.FillColor = PlotStyle.Second.WithAlpha(0.15);
        shade.LineWidth = 0;
        if (response.RecoverySeconds is not { } recovery)
            return;
        plot.Add.VerticalLine(PlotStyle.Finite(recovery.Value), 1.2f, PlotStyle.Second, LinePattern.Dashed);
        PlotStyle.Write(
            plot,
            $" steady after {recovery.Value:0.000} s",
            recovery.Value,
            foot,
            PlotStyle.Ink,
            Alignment.LowerLeft
        );
    }
}
