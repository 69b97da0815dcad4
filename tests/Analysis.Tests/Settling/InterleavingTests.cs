using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Settling;

namespace LoadTest.AnalysisTests.Settling;

public class InterleavingTests
{
    [Fact]
    public void A_linear_drift_of_the_current_cancels_exactly()
    {
        TimedReading[] reference = [new(0, 100), new(2, 102), new(4, 104), new(6, 106)];
        TimedReading[] unit = [new(1, 50.5), new(3, 51.5), new(5, 52.5)];
        var ratio = Interleaving.Ratio(reference, unit);
        Assert.Equal(0.5, ratio.Value, 15);
        Assert.Equal(0, ratio.StandardUncertainty, 15);
        Assert.Equal(2, ratio.DegreesOfFreedom);
    }

    [Fact]
    public void The_stated_uncertainty_is_that_of_repeated_series()
    {
        // Law of large numbers: over many series of equal noise the mean u² is the variance of the ratio.
        var random = new Random(17);
        const int Series = 20_000;
        double sum = 0,
            stated = 0;
        for (var s = 0; s < Series; s++)
        {
            var reference = Enumerable
                .Range(0, 5)
                .Select(i => new TimedReading(2 * i, 100 + Gaussian(random)))
                .ToArray();
            var unit = Enumerable
                .Range(0, 4)
                .Select(i => new TimedReading(2 * i + 1, 100 + Gaussian(random)))
                .ToArray();
            var ratio = Interleaving.Ratio(reference, unit);
            sum += (ratio.Value - 1) * (ratio.Value - 1);
            stated += ratio.StandardUncertainty * ratio.StandardUncertainty;
        }
        Assert.InRange(stated / sum, 0.95, 1.05);
    }

    [Fact]
    public void Readings_without_a_reference_on_both_sides_are_refused()
    {
        TimedReading[] reference = [new(0, 100), new(2, 100), new(4, 100)];
        Assert.Throws<ArgumentException>(() => Interleaving.Ratio(reference, [new(1, 1), new(3, 1), new(5, 1)]));
        Assert.Throws<ArgumentException>(() => Interleaving.Ratio(reference, [new(1, 1), new(3, 1)]));
        Assert.Throws<ArgumentException>(() => Interleaving.Ratio(reference, [new(1, 1), new(1, 1), new(3, 1)]));
        TimedReading[] dead = [new(0, 0), new(2, 0), new(4, 0)];
        Assert.Throws<ArgumentException>(() => Interleaving.Ratio(dead, [new(1, 1), new(2, 1), new(3, 1)]));
    }

    private static double Gaussian(Random random) =>
        Normal.Quantile((random.Next(1, 1 << 30) + 0.5) / ((1 << 30) + 1.0));
}
