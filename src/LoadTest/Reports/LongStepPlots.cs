using LoadTest.Analysis.Heat;
using LoadTest.Plots;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Reports;

/// <summary>Pictures of heat runs and transients.</summary>
internal static class LongStepPlots
{
    /// <summary>Temperatures over a heat run.</summary>
    public static RunPicture Heat(GroupResult group, HeatResult heat, int width, int height)
    {
        var curve = (heat.WarmUp as WarmUpFound)?.Curve;
        var side = group.Points[0].Step.State.Trips.Side;
        var trip = side.Where(s => s.Role == ChannelRole.UnitTemperature).Select(s => (double?)s.Allowed.Upper);
        var through = curve is null ? "" : ", the dashed curve through them";
        return new RunPicture(
            $"heat-run-{group.Group.Number}",
            $"{group.Group.Title}: temperature of the unit and of the air; dots are the temperatures taken for the equilibrium{through}.",
            group.Group.Number,
            PlotStyle.Svg(
                HeatPlot.Draw(
                    Series(heat.Unit),
                    Series(heat.Air),
                    new TimeSeries(heat.Minutes, heat.Celsius),
                    curve,
                    trip.FirstOrDefault()
                ),
                width,
                height
            )
        );
    }

    /// <summary>Fast samples of a transient.</summary>
    public static RunPicture Transient(GroupResult group, TransientResult transient, int width, int height) =>
        new(
            $"transient-{group.Group.Number}",
            $"{group.Group.Title}: {transient.Channel} as sampled; shaded the steady band, ± {transient.Band:0.##} {transient.Unit} about the new steady value.",
            group.Group.Number,
            PlotStyle.Svg(
                TransientPlot.Draw(
                    transient.Unit == "A" ? "output current, A" : "output voltage, V",
                    transient.Seconds,
                    transient.Values,
                    transient.Response,
                    transient.Band
                ),
                width,
                height
            )
        );

    private static TimeSeries Series(RunTrace trace) => new(trace.Minutes, trace.Values);
}
