using LoadTest.Analysis.VoltAmp;
using LoadTest.Plots;

namespace LoadTest.PlotsTests;

public sealed class CurvePlotTests
{
    private static readonly LoadLine Line = LoadLine.CoveredElectrode;

    // 150 A by the control below a ceiling of 72 V that falls by 4.5 V/100 A.
    private static VoltAmpCurve Knee() =>
        VoltAmpAnalysis.Fit([
            Point(0, 72),
            Point(26.5, 70.81),
            Point(77, 68.53),
            Point(139, 65.75),
            Point(150.02, 53.1),
            Point(149.98, 31),
            Point(150.01, 10.7),
        ]);

    private static VoltAmpPoint Point(double amperes, double volts) => new(amperes, volts, 0.05, 0.02);

    private static string Svg(VoltAmpCurve curve, LoadLine line) =>
        PlotStyle.Svg(CurvePlot.Draw("", curve, line), 720, 380);

    [Fact]
    public void Curve_names_axes_with_units_shape_load_line_and_operating_point()
    {
        var svg = Svg(Knee(), Line);
        var text = SvgText.Of(svg);
        SvgText.Keep("plot-curve", svg);

        SvgText.Has("output current, A", text);
        SvgText.Has("output voltage, V", text);
        SvgText.Has(Line.Name, text);
        Assert.Contains(text, t => t.Contains("knee", StringComparison.Ordinal));
        // 20 V + 0.04 V/A at 150 A is 26 V.
        SvgText.Has("150.0 A, 26.0 V", text);
    }

    [Fact]
    public void Wide_band_is_drawn_and_a_thin_one_is_said()
    {
        var wide = VoltAmpAnalysis.Fit([
            new(0, 60, 0.5, 1.5),
            new(100, 56, 0.5, 1.5),
            new(200, 49, 0.5, 1.5),
            new(300, 45.5, 0.5, 1.5),
        ]);
        var svg = Svg(wide, Line);
        SvgText.Keep("plot-curve-band", svg);

        SvgText.Has("with its 95 % band", SvgText.Of(svg));
        SvgText.Has("95 % band thinner than the line", SvgText.Of(Svg(Knee(), Line)));
    }

    [Fact]
    public void Samples_follow_the_curve_down_its_upright_part_and_never_turn_back()
    {
        var samples = CurveSampling.Of(Knee());

        Assert.InRange(samples[0].Volts, 71.9, 72.1);
        Assert.InRange(samples[^1].Volts, 9, 12);
        Assert.True(samples.Count(s => s.Volts < 60) > 40);
        for (var i = 1; i < samples.Count; i++)
        {
            Assert.True(samples[i].Volts <= samples[i - 1].Volts + 0.15, $"sample {i}: {samples[i]}");
            Assert.True(samples[i].Amperes >= samples[i - 1].Amperes - 0.2, $"sample {i}: {samples[i]}");
        }
    }

    [Fact]
    public void Names_of_several_load_lines_stand_clear_of_each_other()
    {
        LoadLine[] lines =
        [
            LoadLine.Given("first", 20, 0.04),
            LoadLine.Given("second", 20.5, 0.04),
            LoadLine.Given("third", 19, 0.042),
        ];
        var svg = PlotStyle.Svg(CurvePlot.Draw("", Knee(), lines), 720, 310);
        var heights = lines.Select(l => SvgText.Height(l.Name, svg)).Order().ToArray();

        // The words are 12 high; less than 10 from one to the next would run into each other.
        Assert.All(heights.Zip(heights.Skip(1), (upper, lower) => lower - upper), gap => Assert.True(gap >= 10));
    }

    // Invented: a knee with one reading 6 V too high on its straight branch.
    [Fact]
    public void Reading_set_aside_is_named_in_the_picture()
    {
        double[] amperes = [0, 25, 70, 120, 150, 164.2, 165, 165.8];
        double[] volts = [72.6, 69.3, 63.4, 56.9, 59, 42.2, 31, 10.7];
        var curve = VoltAmpAnalysis.Fit(
            [.. amperes.Zip(volts, (a, v) => new VoltAmpPoint(a, v))],
            new VoltAmpOptions { AmperesDigit = 0.1, VoltsDigit = 0.1 }
        );

        Assert.Single(curve.Points, p => p.IsSetAside);
        SvgText.Has("reading set aside", SvgText.Of(Svg(curve, Line)));
        Assert.DoesNotContain(SvgText.Of(Svg(Knee(), Line)), t => t == "reading set aside");
    }

    [Fact]
    public void Same_curve_gives_the_same_bytes() => Assert.Equal(Svg(Knee(), Line), Svg(Knee(), Line));

    [Fact]
    public void Hostile_name_of_a_load_line_stays_text()
    {
        var plain = Svg(Knee(), LoadLine.Given("X", 20, 0.04));
        var hostile = Svg(Knee(), LoadLine.Given("</text><script>alert(1)</script>", 20, 0.04));

        Assert.Equal(SvgText.Elements(plain), SvgText.Elements(hostile));
    }

    [Fact]
    public void Curve_that_misses_the_load_line_is_drawn_without_a_point()
    {
        var svg = Svg(Knee(), LoadLine.Given("far line", 90, 0.1));

        Assert.DoesNotContain(SvgText.Of(svg), t => t.Contains(" A, ", StringComparison.Ordinal));
    }
}
