using CsCheck;
using LoadTest.Analysis.Settling;

namespace LoadTest.AnalysisTests.Settling;

public class SettlingTests
{
    private static readonly SettlingRule Rule = new(0.003, 0, overSeconds: 4, minimumReadings: 10);

    private static (double[] Times, double[] Values) Series(Func<double, double> value, int count = 60)
    {
        var times = Enumerable.Range(0, count).Select(i => i * 0.1).ToArray();
        return (times, [.. times.Select(value)]);
    }

    // Deterministic white noise of unit variance, from a seeded generator.
    private static Func<double, double> Noise(int seed)
    {
        var random = new Random(seed);
        return _ => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
    }

    [Fact]
    public void Steady_readings_with_small_noise_are_settled()
    {
        var noise = Noise(1);
        var (times, values) = Series(t => 300 + 0.1 * noise(t));
        var found = Rule.Assess(times, values);
        Assert.Equal(SettlingState.Settled, found.State);
        Assert.Equal(0.9, found.Tolerance, 3);
        Assert.Equal(41, found.Count);
    }

    [Fact]
    public void A_ramp_is_called_drifting_with_its_slope_and_direction()
    {
        var noise = Noise(2);
        var (times, values) = Series(t => 300 + 0.5 * t + 0.05 * noise(t));
        var found = Rule.Assess(times, values);
        Assert.Equal(SettlingState.Drifting, found.State);
        Assert.InRange(found.SlopePerSecond, 0.45, 0.55);
        Assert.Contains("Drifting up", found.Describe("A"), StringComparison.Ordinal);
    }

    [Fact]
    public void A_warm_up_is_drifting_first_and_settled_later()
    {
        var (times, values) = Series(t => 300 - 20 * Math.Exp(-t / 3), 400);
        Assert.Equal(SettlingState.Drifting, Rule.Assess(times.AsSpan(0, 60), values.AsSpan(0, 60)).State);
        Assert.Equal(SettlingState.Settled, Rule.Assess(times, values).State);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Scatter_without_a_pattern_is_called_noisy(int seed)
    {
        var noise = Noise(seed);
        var (times, values) = Series(t => 300 + noise(t));
        Assert.Equal(SettlingState.Noisy, Rule.Assess(times, values).State);
    }

    [Fact]
    public void White_noise_is_hardly_ever_called_oscillating_or_drifting()
    {
        int oscillating = 0,
            drifting = 0;
        for (var seed = 0; seed < 2000; seed++)
        {
            var noise = Noise(seed);
            var (times, values) = Series(t => 300 + noise(t));
            var state = Rule.Assess(times, values).State;
            oscillating += state == SettlingState.Oscillating ? 1 : 0;
            drifting += state == SettlingState.Drifting ? 1 : 0;
        }
        Assert.InRange(oscillating, 0, 20);
        Assert.InRange(drifting, 0, 20);
    }

    [Theory]
    [InlineData(0.5)]
    [InlineData(0.8)]
    [InlineData(1.0)]
    public void A_hunting_governor_is_called_oscillating_with_its_period(double period)
    {
        var noise = Noise(7);
        var (times, values) = Series(t => 300 + 3 * Math.Sin(2 * Math.PI * t / period) + 0.3 * noise(t));
        var found = Rule.Assess(times, values);
        Assert.Equal(SettlingState.Oscillating, found.State);
        Assert.InRange(found.PeriodSeconds, 0.93 * period, 1.07 * period);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(9.9e37)]
    public void A_missing_or_overloaded_reading_in_the_window_never_counts_as_settled(double bad)
    {
        var (times, values) = Series(_ => 300);
        values[^3] = bad;
        Assert.False(Rule.Assess(times, values).IsSettled);
    }

    [Fact]
    public void A_missing_reading_before_the_window_does_not_matter()
    {
        var (times, values) = Series(_ => 300);
        values[5] = double.NaN;
        Assert.True(Rule.Assess(times, values).IsSettled);
    }

    [Fact]
    public void A_window_not_yet_full_or_with_a_hole_cannot_say()
    {
        var (times, values) = Series(_ => 300, 40);
        Assert.Equal(SettlingState.TooShort, Rule.Assess(times, values).State);
        double[] holed =
        [
            .. Enumerable.Range(0, 20).Select(i => i * 0.1),
            .. Enumerable.Range(0, 20).Select(i => 4.5 + i * 0.1),
        ];
        Assert.Equal(SettlingState.TooShort, Rule.Assess(holed, new double[40]).State);
        Assert.Equal(SettlingState.TooShort, Rule.Assess([], []).State);
    }

    [Fact]
    public void Assessing_a_window_allocates_nothing()
    {
        var noise = Noise(3);
        var (times, values) = Series(t => 300 + noise(t));
        Rule.Assess(times, values);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var i = 0; i < 100; i++)
            Rule.Assess(times, values);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void Times_that_do_not_ascend_are_refused()
    {
        var error = Assert.Throws<ArgumentException>(() => Rule.Assess([0, 1, 1, 2], new double[4]));
        Assert.Contains("ascending", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_rule_no_reading_can_meet_is_refused()
    {
        Assert.Throws<ArgumentException>(() => new SettlingRule(0, 0, 4));
        Assert.Throws<ArgumentException>(() => new SettlingRule(double.NaN, 1, 4));
        Assert.Throws<ArgumentException>(() => new SettlingRule(0.1, 1, 0));
        Assert.Throws<ArgumentException>(() => new SettlingRule(0.1, 1, 4, 2));
    }

    [Fact]
    public void Settled_never_holds_when_a_reading_is_outside_the_tolerance()
    {
        Gen.Double[-2, 2]
            .Array[50]
            .Sample(
                values =>
                {
                    double[] times = [.. Enumerable.Range(0, values.Length).Select(i => i * 0.1)];
                    var found = new SettlingRule(0, 1, 4).Assess(times, values);
                    var window = values[^41..];
                    var mean = window.Average();
                    return !found.IsSettled || window.All(v => Math.Abs(v - mean) <= 1 + 1e-12);
                },
                iter: 2000
            );
    }

    [Fact]
    public void The_state_does_not_depend_on_the_unit_or_on_when_the_clock_started()
    {
        Gen.Select(Gen.Double[-1.5, 1.5].Array[50], Gen.OneOf(0.25, 1024.0), Gen.Int[0, 4096])
            .Sample(
                (values, factor, start) =>
                {
                    double[] times = [.. Enumerable.Range(0, values.Length).Select(i => i * 0.125)];
                    var a = new SettlingRule(0, 1, 4).Assess(times, values);
                    var b = new SettlingRule(0, factor, 4).Assess(
                        [.. times.Select(t => t + start)],
                        [.. values.Select(v => v * factor)]
                    );
                    return a.State == b.State && Math.Abs(a.Change * factor - b.Change) < 1e-9 * factor;
                },
                iter: 2000
            );
    }
}
