using LoadTest.Analysis.Numerics;

namespace LoadTest.AnalysisTests.Numerics;

public sealed class MonotoneCubicTests
{
    [Fact]
    public void Cubic_agrees_with_a_reference_library_and_never_turns_between_points()
    {
        // SciPy 1.10.1, PchipInterpolator on the same points.
        double[] x = [0, 50, 100, 180, 220, 260];
        double[] y = [62, 60, 57.5, 52, 44, 20];
        var curve = new MonotoneCubic(x, y);
        (double At, double Value)[] expected =
        [
            (10.0, 61.639111111111106),
            (75.0, 58.829722222222216),
            (130.0, 55.85021132172131),
            (199.0, 49.15457479508197),
            (240.0, 34.5),
            (255.0, 23.9296875),
        ];
        foreach (var (at, value) in expected)
        {
            Digits.AtLeast(13, curve.At(at, out _), value);
        }

        var last = 62.0;
        for (var k = 1; k <= 260; k++)
        {
            var next = curve.At(k, out var slope);
            Assert.True(next <= last && slope <= 0);
            last = next;
        }
    }

    [Fact]
    public void Points_out_of_order_are_refused() =>
        Assert.Throws<ArgumentException>(() => new MonotoneCubic([0, 2, 1], [1, 2, 3]));
}
