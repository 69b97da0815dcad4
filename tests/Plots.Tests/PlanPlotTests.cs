using System.Xml.Linq;
using LoadTest.Plots;

namespace LoadTest.PlotsTests;

public sealed class PlanPlotTests
{
    private static readonly LoadSegment[] Day =
    [
        new(TimeSpan.Zero, TimeSpan.FromMinutes(2), 0, 72, "No load"),
        .. Enumerable
            .Range(0, 9)
            .Select(k => new LoadSegment(
                TimeSpan.FromMinutes(2 + k),
                TimeSpan.FromMinutes(3 + k),
                30 * (k + 1),
                20 + 1.2 * (k + 1),
                k < 5 ? "Shunt as found" : "Curve at 300 A"
            )),
        new(TimeSpan.FromMinutes(11), TimeSpan.FromMinutes(14), 0, 0, "Cool down"),
    ];

    [Fact]
    public void Plan_is_drawn_as_well_formed_svg_with_units_on_its_axes()
    {
        var svg = PlotStyle.Svg(PlanPlot.Draw("Plan", Day), 900, 380);

        var text = string.Join(
            '|',
            XDocument.Parse(svg).Descendants().Where(e => e.Name.LocalName == "text").Select(e => e.Value)
        );
        Assert.Contains("output current, A (filled)", text, StringComparison.Ordinal);
        Assert.Contains("time, min", text, StringComparison.Ordinal);
        Assert.Contains("Shunt as found", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Same_plan_gives_the_same_bytes()
    {
        Assert.Equal(
            PlotStyle.Svg(PlanPlot.Draw("Plan", Day), 900, 380),
            PlotStyle.Svg(PlanPlot.Draw("Plan", Day), 900, 380)
        );
    }

    [Fact]
    public void Two_pictures_on_one_page_share_no_id()
    {
        static string[] Ids(string svg) =>
            [.. XDocument.Parse(svg).Descendants().Select(e => (string?)e.Attribute("id")).OfType<string>()];

        var first = Ids(PlotStyle.Svg(PlanPlot.Draw("Plan", Day), 900, 380));
        var second = Ids(PlotStyle.Svg(PlanPlot.Draw("Plan", Day[..4]), 900, 380));

        Assert.NotEmpty(first);
        Assert.Empty(first.Intersect(second, StringComparer.Ordinal));
    }

    [Fact]
    public void Every_text_names_the_shipped_font_and_a_generic_one_after_it()
    {
        var svg = PlotStyle.Svg(PlanPlot.Draw("Plan", Day), 900, 380);

        var families = XDocument
            .Parse(svg)
            .Descendants()
            .Where(e => e.Name.LocalName == "text")
            .Select(e => (string?)e.Attribute("font-family"))
            .Distinct(StringComparer.Ordinal)
            .ToArray();
        Assert.Equal(["DejaVu Sans, Verdana, sans-serif"], families);
    }

    [Fact]
    public void Hostile_title_stays_text()
    {
        var svg = PlotStyle.Svg(PlanPlot.Draw("</text><script>alert(1)</script>", Day), 900, 380);

        Assert.DoesNotContain("<script", svg, StringComparison.OrdinalIgnoreCase);
        Assert.NotNull(XDocument.Parse(svg).Root);
    }

    [Fact]
    public void Picture_for_looking_at()
    {
        var folder = Environment.GetEnvironmentVariable("LOADTEST_PICTURES");
        Assert.SkipUnless(folder is not null, "set LOADTEST_PICTURES to a folder to keep the picture");
        File.WriteAllText(Path.Combine(folder!, "plan.svg"), PlotStyle.Svg(PlanPlot.Draw("Plan", Day), 900, 380));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void Number_that_is_not_finite_is_refused(double amperes)
    {
        LoadSegment[] segments = [new(TimeSpan.Zero, TimeSpan.FromMinutes(1), amperes, 20, "")];

        Assert.Throws<ArgumentException>(() => PlanPlot.Draw("Plan", segments));
    }

    [Fact]
    public void Overlapping_segments_are_refused()
    {
        LoadSegment[] segments =
        [
            new(TimeSpan.Zero, TimeSpan.FromMinutes(2), 1, 20, "a"),
            new(TimeSpan.FromMinutes(1), TimeSpan.FromMinutes(3), 1, 20, "b"),
        ];

        Assert.Throws<ArgumentException>(() => PlanPlot.Draw("Plan", segments));
    }

    [Fact]
    public void Plan_without_segments_is_an_empty_picture_not_an_error()
    {
        Assert.Contains("<svg", PlotStyle.Svg(PlanPlot.Draw("Plan", []), 400, 200), StringComparison.Ordinal);
    }
}
