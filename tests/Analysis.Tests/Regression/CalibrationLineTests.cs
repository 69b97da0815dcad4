using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

/// <summary>Calibration by a line and its control, on the line widths of the NIST/SEMATECH e-Handbook (US Government work).</summary>
public sealed class CalibrationLineTests
{
    // File CALIBRATIONLINE.DAT, page mpc3673: ten artifacts, measured four times.
    private static readonly double[] s_artifacts = [6.19, 9.17, 1.99, 7.77, 4, 10.77, 4.78, 2.99, 6.98, 9.98];
    private static readonly double[] s_measured =
    [
        6.31,
        9.27,
        2.21,
        8,
        4.27,
        10.93,
        4.95,
        3.24,
        7.14,
        10.23,
        6.27,
        9.21,
        2.19,
        7.81,
        4.15,
        10.73,
        4.87,
        3.17,
        7.07,
        10.02,
        6.31,
        9.34,
        2.22,
        7.95,
        4.15,
        10.92,
        5,
        3.21,
        7.18,
        10.07,
        6.28,
        9.23,
        2.2,
        7.84,
        4.15,
        10.89,
        5,
        3.21,
        7.2,
        10.17,
    ];

    private static readonly LineFit s_line = LineFit.Fit(
        [.. Enumerable.Range(0, 40).Select(k => s_artifacts[k % 10])],
        s_measured
    );

    [Fact]
    public void Line_of_the_optical_imaging_system_reads_as_in_the_handbook()
    {
        // Data published; figures computed with a reference library and equal to the handbook's as remembered (0.2357, 0.9870, 0.06203).
        Assert.Equal(0.23576229, s_line.Intercept.Value, 8);
        Assert.Equal(0.98703771, s_line.Slope.Value, 8);
        Assert.Equal(0.02430034, s_line.Intercept.StandardUncertainty, 8);
        Assert.Equal(0.00344058, s_line.Slope.StandardUncertainty, 8);
        Assert.Equal(0.06203195937769609, s_line.ResidualStandardDeviation, 12);
        Assert.Equal(38, s_line.Slope.DegreesOfFreedom);
    }

    // File LINEWID.DAT, page mpc371: three standards on six days, read back through the line; w computed from the published data.
    [Theory]
    [InlineData(
        0.76,
        new[] { 1.12, 0.99, 1.05, 0.76, 0.96, 1.03 },
        new[] { 0.1358, 0.0041, 0.0649, -0.2289, -0.0263, 0.0447 }
    )]
    [InlineData(
        3.29,
        new[] { 3.49, 3.53, 3.46, 3.75, 3.53, 3.52 },
        new[] { 0.007, 0.0475, -0.0234, 0.2704, 0.0475, 0.0374 }
    )]
    [InlineData(
        8.89,
        new[] { 9.11, 8.89, 9.02, 9.30, 9.05, 9.02 },
        new[] { 0.1008, -0.1221, 0.0096, 0.2933, 0.04, 0.0096 }
    )]
    public void Only_the_fourth_day_is_out_of_control(double standard, double[] read, double[] away)
    {
        // Limit s·t/b, 0.1272 for each standard and 0.1574 for three at a time (Bonferroni).
        var limit = StudentT.TwoSided(1 - (0.05 / 3), 38) * s_line.ResidualStandardDeviation / s_line.Slope.Value;
        Assert.Equal(0.15740645, limit, 8);
        Assert.Equal(
            0.12722628,
            StudentT.TwoSided(0.95, 38) * s_line.ResidualStandardDeviation / s_line.Slope.Value,
            8
        );
        for (var day = 0; day < read.Length; day++)
        {
            var found = s_line.Inverse(new(read[day], 0)).Value - standard;
            Assert.Equal(away[day], found, 1e-4);
            Assert.Equal(day == 3, Math.Abs(found) > limit);
        }
    }
}
