using ScottPlot;

namespace LoadTest.Plots;

/// <summary>One quantity over time.</summary>
/// <param name="Minutes">Times, rising.</param>
/// <param name="Values">Values, as many.</param>
public sealed record TimeSeries(IReadOnlyList<double> Minutes, IReadOnlyList<double> Values);

/// <summary>A named stretch of time.</summary>
/// <param name="From">Beginning, minutes.</param>
/// <param name="To">End, minutes.</param>
/// <param name="Name">What it is.</param>
public sealed record TimeSpanMark(double From, double To, string Name);

/// <summary>A named moment.</summary>
/// <param name="At">When, minutes.</param>
/// <param name="Name">What happened.</param>
public sealed record MomentMark(double At, string Name);

/// <summary>A run as it happened: amperes and volts over time, what was being measured, and where it was tripped.</summary>
public static class RunPlot
{
    private const double DataWidth = 620;

    /// <summary>Draws the run.</summary>
    /// <param name="title">One line above; empty for none.</param>
    /// <param name="amperes">Output current.</param>
    /// <param name="volts">Output voltage.</param>
    /// <param name="stretches">What was measured when, in order; named along the top where there is room.</param>
    /// <param name="trips">Trips, each with what came of the removal.</param>
    public static Plot Draw(
        string title,
        TimeSeries amperes,
        TimeSeries volts,
        IReadOnlyList<TimeSpanMark> stretches,
        IReadOnlyList<MomentMark> trips
    )
    {
        ArgumentNullException.ThrowIfNull(amperes);
        ArgumentNullException.ThrowIfNull(volts);
        ArgumentNullException.ThrowIfNull(stretches);
        ArgumentNullException.ThrowIfNull(trips);
        var plot = PlotStyle.Create(title, "time since the run was opened, min", "output current, A");
        var end = Math.Max(
            amperes
                .Minutes.Concat(volts.Minutes)
                .Concat(stretches.Select(s => s.To))
                .Concat(trips.Select(t => t.At))
                .DefaultIfEmpty(1)
                .Max(),
            1e-3
        );
        var names = TimeBands.Place(stretches, end, DataWidth);
        var headroom = TimeBands.Headroom(names);
        var topAmperes = Math.Max(amperes.Values.DefaultIfEmpty(1).Max(), 1) * headroom;
        var topVolts = Math.Max(volts.Values.DefaultIfEmpty(1).Max(), 1) * headroom;
        TimeBands.Draw(plot, names, topAmperes);
        Current(plot, amperes);
        Potential(plot, volts);
        foreach (var trip in trips)
        {
            plot.Add.VerticalLine(PlotStyle.Finite(trip.At), 1.6f, PlotStyle.Limit);
            PlotStyle.Write(plot, trip.Name, trip.At, topAmperes / headroom, PlotStyle.Limit, Alignment.UpperRight);
        }
        plot.Axes.SetLimits(0, end, 0, topAmperes);
        plot.Axes.Right.Range.Set(0, topVolts);
        return plot;
    }

    private static void Current(Plot plot, TimeSeries amperes)
    {
        if (amperes.Minutes.Count == 0)
            return;
        double[] minutes = [.. amperes.Minutes.Select(PlotStyle.Finite)];
        double[] values = [.. amperes.Values.Select(v => Math.Max(0, PlotStyle.Finite(v)))];
        var area = plot.Add.FillY(minutes, new double[minutes.Length], values);
        area.FillColor = PlotStyle.Measured.WithAlpha(0.18);
        area.LineWidth = 0;
        plot.Add.ScatterLine(minutes, values, PlotStyle.Measured).LineWidth = 1.3f;
        plot.Axes.Left.Label.ForeColor = PlotStyle.Measured;
    }

    private static void Potential(Plot plot, TimeSeries volts)
    {
        if (volts.Minutes.Count == 0)
            return;
        double[] minutes = [.. volts.Minutes.Select(PlotStyle.Finite)];
        double[] values = [.. volts.Values.Select(PlotStyle.Finite)];
        var line = plot.Add.ScatterLine(minutes, values, PlotStyle.Limit);
        line.LineWidth = 1.1f;
        line.LinePattern = LinePattern.DenselyDashed;
        line.Axes.YAxis = plot.Axes.Right;
        PlotStyle.SecondAxis(plot, "output voltage, V (dashed)", PlotStyle.Limit);
    }
}
