using LoadTest.Plots;

namespace LoadTest.PlotsTests;

public sealed class RunPlotTests
{
    private static readonly TimeSeries Amperes = new([0, 1, 1.01, 3, 3.01, 4], [0, 0, 150, 150, 0, 0]);
    private static readonly TimeSeries Volts = new([0, 1, 1.01, 3, 3.01, 4], [72, 72, 26, 26, 72, 0]);

    private static string Svg(TimeSeries amperes, params MomentMark[] trips) =>
        PlotStyle.Svg(
            RunPlot.Draw("", amperes, Volts, [new(0, 1, "No load"), new(1, 3, "Curve at 150 A")], trips),
            720,
            380
        );

    [Fact]
    public void Picture_names_both_axes_with_units_the_stretches_and_a_trip()
    {
        var svg = Svg(Amperes, new MomentMark(3, "all-off written"));
        var text = SvgText.Of(svg);
        SvgText.Keep("plot-run", svg);

        SvgText.Has("output current, A", text);
        SvgText.Has("output voltage, V (dashed)", text);
        SvgText.Has("time since the run was opened, min", text);
        SvgText.Has("No load", text);
        SvgText.Has("Curve at 150 A", text);
        SvgText.Has("all-off written", text);
        Assert.DoesNotContain(SvgText.Of(Svg(Amperes)), t => t == "all-off written");
    }

    [Fact]
    public void Same_run_gives_the_same_bytes() =>
        Assert.Equal(Svg(Amperes, new MomentMark(3, "load removed")), Svg(Amperes, new MomentMark(3, "load removed")));

    [Fact]
    public void Reading_that_is_no_number_is_refused() =>
        Assert.Throws<ArgumentException>(() => Svg(new TimeSeries([0, 1], [0, double.NaN])));

    [Fact]
    public void Run_without_readings_is_an_empty_picture() =>
        Assert.Contains("<svg", Svg(new TimeSeries([], [])), StringComparison.Ordinal);
}
