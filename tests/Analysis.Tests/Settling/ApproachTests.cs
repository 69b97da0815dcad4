using LoadTest.Analysis.Settling;

namespace LoadTest.AnalysisTests.Settling;

public sealed class ApproachTests
{
    private static double[] Times(int count, double step) => [.. Enumerable.Range(0, count).Select(k => k * step)];

    [Fact]
    public void Three_means_give_the_end_of_a_geometric_approach()
    {
        // 90, 96, 98.4: changes 6 and 2.4, q = 0.4, still to come 2.4·0.4/0.6 = 1.6 (worked by hand).
        double[] values = [90, 90, 90, 96, 96, 96, 98.4, 98.4, 98.4];
        // The means carry the jumps between them as scatter, which is more than their changes: nothing is claimed then.
        Assert.Equal(0, Approach.StillToCome(Times(9, 1), values));
        double[] many = [.. Enumerable.Range(0, 900).Select(k => values[k / 100])];
        Assert.Equal(1.6, Approach.StillToCome(Times(900, 1), many)!.Value, 1e-9);
    }

    [Theory]
    [InlineData(3.0, 2.0)]
    [InlineData(30.0, 8.0)]
    [InlineData(30.0, 30.0)]
    public void What_is_still_to_come_of_an_exponential_is_what_its_law_leaves(double tau, double window)
    {
        var times = Times(80, window / 79);
        double[] values = [.. times.Select(t => 300 * (1 - 0.1 * Math.Exp(-t / tau)))];
        var left = Approach.StillToCome(times, values)!.Value;
        // 1 − e^(−t/τ), textbook; counted from the middle of the last third.
        var law = 30 * Math.Exp(-window / tau * 5 / 6);
        Assert.Equal(law, left, 0.03 * law);
    }

    [Fact]
    public void A_straight_climb_has_no_end_and_noise_has_nothing_to_come()
    {
        var times = Times(90, 0.1);
        Assert.Equal(double.PositiveInfinity, Approach.StillToCome(times, [.. times.Select(t => t * t)]));
        var chance = new Random(7);
        Assert.Equal(0, Approach.StillToCome(times, [.. times.Select(_ => 300 + chance.NextDouble())]));
        Assert.Null(Approach.StillToCome(times[..8], new double[8]));
    }
}
