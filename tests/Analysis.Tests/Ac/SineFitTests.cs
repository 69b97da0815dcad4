using CsCheck;
using LoadTest.Analysis.Ac;

namespace LoadTest.AnalysisTests.Ac;

/// <summary>IEEE Std 1057 sine fits, from memory; the attainable uncertainty is Rife and Boorstyn 1974, from memory.</summary>
public sealed class SineFitTests
{
    [Fact]
    public void A_clean_sine_is_found_to_rounding()
    {
        var fit = SineFit.FourParameters(Waves.Sine(1234, 10_000, 59.87, 169.7), 10_000);

        Assert.Equal(59.87, fit.FrequencyHertz.Value, 1e-9);
        Assert.Equal(169.7, fit.Amplitude.Value, 1e-8);
        Assert.Equal(0.3, fit.PhaseRadians.Value, 1e-9);
        Assert.Equal(0, fit.Offset.Value, 1e-8);
    }

    [Fact]
    public void Three_parameters_take_the_frequency_as_given()
    {
        var samples = Waves.Of(777, 8000, t => 12 + 5 * Math.Cos(2 * Math.PI * 50 * t - 2));

        var fit = SineFit.ThreeParameters(samples, 8000, 50);

        Assert.Equal(5, fit.Amplitude.Value, 1e-10);
        Assert.Equal(-2, fit.PhaseRadians.Value, 1e-10);
        Assert.Equal(12, fit.Offset.Value, 1e-10);
        Assert.Equal(0, fit.FrequencyHertz.StandardUncertainty);
    }

    [Fact]
    public void Uncertainties_reach_the_bound_for_white_noise()
    {
        // u(f) = √6·σ·f_s/(π·A·N^1.5), u(A) = σ·√(2/N) for many cycles: Rife and Boorstyn 1974, from memory.
        var samples = Waves.Sine(2000, 10_000, 60.01, 100).Plus(Waves.Noise(2000, 1, 7));

        var fit = SineFit.FourParameters(samples, 10_000);
        var sigma = fit.ResidualStandardDeviation;

        Assert.Equal(1, sigma, 0.06);
        var bound = Math.Sqrt(6) * sigma * 10_000 / (Math.PI * 100 * Math.Pow(2000, 1.5));
        Assert.Equal(1, fit.FrequencyHertz.StandardUncertainty / bound, 0.01);
        Assert.Equal(1, fit.Amplitude.StandardUncertainty / (sigma * Math.Sqrt(2.0 / 2000)), 0.01);
        // The phase at the first sample: variance 2σ²(2N − 1)/(A²·N(N + 1)), that is four times the one at the middle.
        Assert.Equal(1, fit.PhaseRadians.StandardUncertainty / (sigma / 100 * Math.Sqrt(8.0 / 2000)), 0.01);
    }

    [Fact]
    public void Two_standard_uncertainties_cover_the_true_frequency_as_often_as_they_should()
    {
        var covered = 0;
        for (var seed = 0; seed < 1000; seed++)
        {
            var samples = Waves.Sine(400, 2000, 59.3, 10).Plus(Waves.Noise(400, 0.5, seed));
            var fit = SineFit.FourParameters(samples, 2000).FrequencyHertz;
            covered += Math.Abs(fit.Value - 59.3) <= 1.96 * fit.StandardUncertainty ? 1 : 0;
        }

        // 95 % of 1000, give or take four standard deviations of a count.
        Assert.InRange(covered, 950 - 28, 950 + 28);
    }

    [Fact]
    public void Scaling_and_shifting_the_samples_leaves_the_frequency() =>
        Gen.Select(Gen.Double[0.01, 100], Gen.Double[-50, 50], Gen.Double[45, 65], Gen.Double[-3, 3])
            .Sample(
                (gain, shift, frequency, phase) =>
                {
                    var plain = Waves.Sine(900, 5000, frequency, 10, phase);
                    double[] moved = [.. plain.Select(v => gain * v + shift)];

                    var (one, other) = (SineFit.FourParameters(plain, 5000), SineFit.FourParameters(moved, 5000));

                    Assert.Equal(one.FrequencyHertz.Value, other.FrequencyHertz.Value, 1e-7);
                    Assert.Equal(gain * 10, other.Amplitude.Value, gain * 1e-6);
                },
                iter: 300
            );

    [Fact]
    public void Too_short_a_window_is_refused() =>
        Assert.Contains(
            "cycles",
            Assert.Throws<ArgumentException>(() => SineFit.ThreeParameters(new double[50], 10_000, 60)).Message
        );

    [Fact]
    public void A_missing_sample_is_refused()
    {
        var samples = Waves.Sine(1000, 10_000, 60, 1);
        samples[500] = double.NaN;

        Assert.Throws<ArgumentException>(() => SineFit.FourParameters(samples, 10_000));
    }
}
