using LoadTest.Analysis.Ac;

namespace LoadTest.AnalysisTests.Ac;

public sealed class WaveformTests
{
    [Fact]
    public void Zero_crossings_give_the_frequency_of_a_sine()
    {
        var found = ZeroCrossings.Of(Waves.Sine(5000, 10_000, 60.02, 170), 10_000);

        Assert.Equal(60.02, found.FrequencyHertz.Value, 1e-4);
        Assert.InRange(found.FrequencyHertz.StandardUncertainty, 0, 1e-4);
        // 30 cycles in half a second, the first rising crossing a part of a cycle in.
        Assert.Equal(30, found.Seconds.Count);
    }

    [Fact]
    public void The_clock_of_the_sampler_adds_to_the_frequency()
    {
        var found = ZeroCrossings.Of(Waves.Sine(5000, 10_000, 60, 170), 10_000, relativeClock: 1e-3);

        Assert.Equal(0.06, found.FrequencyHertz.StandardUncertainty, 1e-4);
    }

    [Fact]
    public void Noise_at_a_crossing_is_not_counted_as_a_cycle()
    {
        var samples = Waves.Sine(20_000, 20_000, 60, 100).Plus(Waves.Noise(20_000, 3, 11));

        var found = ZeroCrossings.Of(samples, 20_000);

        Assert.Equal(60, found.Seconds.Count);
        Assert.InRange(Math.Abs(found.FrequencyHertz.Value - 60), 0, 4 * found.FrequencyHertz.StandardUncertainty);
        Assert.InRange(found.FrequencyHertz.StandardUncertainty, 1e-4, 1e-2);
    }

    [Fact]
    public void A_flat_line_has_no_frequency() =>
        Assert.Contains(
            "0 rising crossings",
            Assert.Throws<ArgumentException>(() => ZeroCrossings.Of(new double[100], 1000)).Message
        );

    [Fact]
    public void Rms_of_a_sine_is_its_amplitude_over_root_two()
    {
        // 169.7056 V peak is 120 V: arithmetic.
        var found = RootMeanSquare.Of(
            Waves.Sine(10_050, 10_000, 60, 120 * Math.Sqrt(2)),
            10_000,
            60,
            relativeGain: 0.001
        );

        Assert.Equal(60, found.Cycles);
        Assert.Equal(120, found.Rms.Value, 1e-3);
        Assert.Equal(Math.Sqrt(2), found.CrestFactor, 1e-3);
        Assert.InRange(found.Rms.StandardUncertainty, 0.12, 0.13);
    }

    [Fact]
    public void Rms_holds_the_mean_as_well()
    {
        var samples = Waves.Of(4000, 10_000, t => 3 + 4 * Math.Sqrt(2) * Math.Sin(2 * Math.PI * 50 * t));

        Assert.Equal(5, RootMeanSquare.Of(samples, 10_000, 50).Rms.Value, 1e-9);
    }

    [Fact]
    public void Square_wave_has_the_distortion_of_its_series()
    {
        // Fourier series of a square wave: odd orders at 1/k. Sampled at 200 points a cycle, the orders are
        // (1/200)·2/sin(kπ/200) instead of 4/(kπ)/2: COMPUTED here from the sampled series.
        const int PerCycle = 200;
        var samples = Waves.Of(PerCycle * 12, PerCycle * 60, t => Math.Floor(t * 120 + 1e-9) % 2 == 0 ? 1.0 : -1.0);

        var found = HarmonicDistortion.Of(samples, PerCycle * 60, 60);

        var orders = Enumerable.Range(1, 40).Where(k => k % 2 == 1).ToArray();
        double Of(int k) => 1 / Math.Sin(k * Math.PI / PerCycle);
        var expected = Math.Sqrt(orders.Skip(1).Sum(k => Of(k) * Of(k))) / Of(1);
        Assert.Equal(expected, found.Total.Value, 1e-9);
        Assert.Equal(0.4712, found.Total.Value, 0.006);
    }

    [Fact]
    public void Harmonics_come_out_of_a_window_without_whole_cycles()
    {
        var samples = Waves.Of(
            3333,
            20_000,
            t => 100 * Math.Cos(377 * t) + 5 * Math.Cos(3 * 377 * t + 1) + 3 * Math.Cos(5 * 377 * t) + 7
        );

        var found = HarmonicDistortion.Of(samples, 20_000, 377 / (2 * Math.PI));

        // √(5² + 3²)/100: arithmetic.
        Assert.Equal(Math.Sqrt(34) / 100, found.Total.Value, 1e-10);
        Assert.Equal(7, found.Fit.Mean.Value, 1e-9);
    }

    [Fact]
    public void Uncertainty_of_distortion_covers_it_under_noise()
    {
        var covered = 0;
        for (var seed = 0; seed < 200; seed++)
        {
            var samples = Waves
                .Of(2000, 10_000, t => 100 * Math.Cos(377 * t) + 6 * Math.Cos(3 * 377 * t + 1))
                .Plus(Waves.Noise(2000, 1, seed));
            var total = HarmonicDistortion.Of(samples, 10_000, 377 / (2 * Math.PI), 5).Total;
            covered += Math.Abs(total.Value - 0.06) <= 1.96 * total.StandardUncertainty ? 1 : 0;
        }

        Assert.InRange(covered, 178, 200);
    }

    [Fact]
    public void Orders_above_half_the_sampling_rate_are_refused() =>
        Assert.Contains(
            "no more than order 16",
            Assert
                .Throws<ArgumentException>(() => HarmonicDistortion.Of(Waves.Sine(2000, 2000, 60, 1), 2000, 60))
                .Message
        );

    [Fact]
    public void No_fundamental_no_distortion() =>
        Assert.Throws<ArithmeticException>(() => HarmonicDistortion.Of(Waves.Noise(4000, 1, 3), 10_000, 60));

    [Fact]
    public void Every_cycle_has_its_rms_and_frequency()
    {
        var cycles = CycleSeries.Of(Waves.Sine(5000, 10_000, 60, 120 * Math.Sqrt(2)), 10_000);

        Assert.Equal(29, cycles.Rms.Count);
        Assert.All(cycles.Rms, v => Assert.Equal(120, v, 0.03));
        Assert.All(cycles.Hertz, v => Assert.Equal(60, v, 0.01));
    }
}
