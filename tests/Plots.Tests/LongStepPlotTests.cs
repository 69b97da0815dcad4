using LoadTest.Analysis.Ac;
using LoadTest.Analysis.Heat;
using LoadTest.Plots;

namespace LoadTest.PlotsTests;

public sealed class LongStepPlotTests
{
    private static readonly TimeSeries Taken = new(
        [0, 20, 40, 60, 80, 100],
        [.. new[] { 0, 20, 40, 60, 80, 100 }.Select(m => 20 + 60 * (1 - Math.Exp(-m / 20.0)))]
    );

    private static readonly double[] Seconds = [.. Enumerable.Range(-10, 60).Select(k => 0.01 * k)];

    private static readonly double[] Volts = [.. Seconds.Select(s => s < 0 ? 28 : 26 - 2 * Math.Exp(-s / 0.1))];

    [Fact]
    public void Heat_run_shows_unit_air_trip_and_axes_with_units()
    {
        var curve = ((WarmUpFound)WarmUp.Of([.. Taken.Minutes.Select(m => m * 60)], [.. Taken.Values])).Curve;
        var svg = PlotStyle.Svg(HeatPlot.Draw(Taken, new([0, 100], [20, 20]), Taken, curve, 155), 720, 310);
        var text = SvgText.Of(svg);
        SvgText.Keep("plot-heat", svg);
        SvgText.Has("temperature, °C", text);
        SvgText.Has("time since the run was opened, min", text);
        SvgText.Has("unit", text);
        SvgText.Has("air", text);
        Assert.Contains(text, t => t.Contains("trips above 155 °C", StringComparison.Ordinal));
    }

    [Fact]
    public void Transient_says_when_the_steady_band_is_kept()
    {
        var response = StepResponse.Of(Seconds, Volts, -0.005, 29, 0.02, StepReference.AfterStep);
        var svg = PlotStyle.Svg(TransientPlot.Draw("output voltage, V", Seconds, Volts, response, 0.58), 720, 310);
        var text = SvgText.Of(svg);
        SvgText.Keep("plot-transient", svg);
        SvgText.Has("output voltage, V", text);
        // 2 V of dip is inside 0.58 V after 0.1 s · ln(2/0.58).
        Assert.Equal(0.1 * Math.Log(2 / 0.58), response.RecoverySeconds!.Value.Value, 0.006);
        Assert.Contains(text, t => t.Contains("steady after 0.1", StringComparison.Ordinal));
        Assert.DoesNotContain(
            SvgText.Of(PlotStyle.Svg(TransientPlot.Draw("output voltage, V", Seconds, Volts, null, 0.58), 720, 310)),
            t => t.Contains("steady", StringComparison.Ordinal)
        );
    }
}
