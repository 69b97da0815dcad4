using LoadTest.Analysis.Shunts;
using LoadTest.Plots;

namespace LoadTest.PlotsTests;

public sealed class ShuntPlotTests
{
    // 500 A / 60 mV shunt that reads this much wrong, up and down.
    private static ShuntRatio Sweep(double gain) =>
        new ShuntSweep
        {
            Rating = new ShuntRating(500, 60, 0.5),
            Points =
            [
                .. new[] { (75.0, 1), (150, 1), (225, 1), (300, 1), (300, -1), (225, -1), (150, -1), (75, -1) }.Select(
                    (p, k) => new ShuntPoint(p.Item1, p.Item1 * 0.12 * (1 + gain), 0.01, 0.001, p.Item2, k)
                ),
            ],
        }.Analyse();

    private static string Svg(string name) =>
        PlotStyle.Svg(ShuntPlot.Draw("", [new("as found", Sweep(-0.018)), new(name, Sweep(0.0004))], -1, 1), 720, 380);

    [Fact]
    public void Picture_names_both_sweeps_the_limits_and_the_axes_with_units()
    {
        var text = SvgText.Of(Svg("as left"));

        foreach (
            var words in new[]
            {
                "as found",
                "as left",
                "limit +1.0 %",
                "limit −1.0 %",
                "current by the reference shunt, A",
                "error of the shunt's ratio, %",
            }
        )
            SvgText.Has(words, text);
    }

    [Fact]
    public void Same_sweeps_give_the_same_bytes() => Assert.Equal(Svg("as left"), Svg("as left"));

    [Fact]
    public void Hostile_name_stays_text() =>
        Assert.Equal(SvgText.Elements(Svg("X")), SvgText.Elements(Svg("</text><script>alert(1)</script>")));
}
