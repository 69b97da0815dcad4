using LoadTest.Analysis;
using LoadTest.Plots;

namespace LoadTest.PlotsTests;

public sealed class AgreementPlotTests
{
    private static readonly AgreementPoint[] WrongShunt =
    [
        .. new[] { 75.0, 150, 225, 300 }.Select(set => new AgreementPoint(
            set,
            new Estimate(set, 0.29),
            new Estimate(set * 1.018, 0.06),
            set * 0.01
        )),
    ];

    private static string Svg(params AgreementPoint[] points) =>
        PlotStyle.Svg(AgreementPlot.Draw("wrong: shunt", "set current, A", points, 1.96), 720, 380);

    [Fact]
    public void Picture_says_set_indicated_actual_and_what_is_allowed()
    {
        var svg = Svg(WrongShunt);
        var text = SvgText.Of(svg);
        SvgText.Keep("plot-set-indicated-actual", svg);

        foreach (
            var word in new[]
            {
                "set",
                "indicated",
                "actual",
                "allowed +1.0 %",
                "allowed −1.0 %",
                "set current, A",
                "wrong: shunt",
            }
        )
            SvgText.Has(word, text);
        SvgText.Has("departure from set, % of set", text);
    }

    [Fact]
    public void Same_points_give_the_same_bytes() => Assert.Equal(Svg(WrongShunt), Svg(WrongShunt));

    [Theory]
    [InlineData(double.NaN, 1)]
    [InlineData(100, double.PositiveInfinity)]
    public void Number_that_is_not_finite_is_refused(double indicated, double u) =>
        Assert.Throws<ArgumentException>(() =>
            Svg(new AgreementPoint(100, new Estimate(indicated, u), new Estimate(100, 1), null))
        );

    [Fact]
    public void Nothing_read_is_an_empty_picture() => Assert.Contains("<svg", Svg(), StringComparison.Ordinal);
}
