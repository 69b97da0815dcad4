using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class CurveEndTests
{
    // Worked by hand: a ceiling of 72.6 V − 12.2 V/100 A up to a current limit of 300 A, of which one point was measured.
    private static readonly VoltAmpPoint[] s_cut =
    [
        new(0, 72.6, 0.05, 0.01),
        new(25, 69.55, 0.05, 0.01),
        new(96, 60.89, 0.05, 0.01),
        new(160, 53.08, 0.05, 0.01),
        new(224, 45.27, 0.05, 0.01),
        new(290, 37.22, 0.05, 0.01),
        new(300, 19.6, 0.05, 0.01),
    ];

    [Fact]
    public void The_last_reading_is_never_set_aside_because_nothing_beyond_it_says_that_it_is_bad() =>
        Assert.DoesNotContain(VoltAmpAnalysis.Fit(s_cut).Points, p => p.IsSetAside);

    [Fact]
    public void A_bend_that_too_few_points_describe_is_read_between_the_readings()
    {
        var curve = VoltAmpAnalysis.Fit(s_cut, new VoltAmpOptions { LoadLines = [LoadLine.CoveredElectrode] });

        Assert.Equal(VoltAmpModel.Interpolation, curve.Model);
        Assert.Equal(72.6, curve.OpenCircuitVoltage!.Value, 9);
        Assert.InRange(curve.OperatingPoint(LoadLine.CoveredElectrode)!.Amperes.Value, 290, 300);
    }

    [Fact]
    public void A_line_that_misses_every_reading_by_far_is_not_a_line_however_few_they_are()
    {
        // A parabola, 5 V deep over 40 V: far beyond 10 mV, and with five points too few for a test of runs.
        VoltAmpPoint[] bowed =
        [
            .. new[] { 0.0, 50, 100, 150, 200 }.Select(i => new VoltAmpPoint(i, 60 - (i * i / 1000), 0.05, 0.01)),
        ];

        Assert.NotEqual(VoltAmpModel.StraightLine, VoltAmpAnalysis.Fit(bowed).Model);
    }

    [Fact]
    public void A_rounded_knee_without_a_corner_is_called_sharp()
    {
        VoltAmpPoint[] points =
        [
            .. new[] { 0.0, 25, 70, 120, 150 }.Select(i => new VoltAmpPoint(i, 72 - (0.13 * i), 0.1, 0.02)),
            .. new[] { 40.0, 30, 20, 10 }.Select(v => new VoltAmpPoint(165 + ((52 - v) * 0.02), v, 0.1, 0.02)),
        ];
        var curve = VoltAmpAnalysis.Fit(points);

        Assert.Equal(VoltAmpModel.SharpKnee, curve.Model);
    }
}
