using System.Numerics;
using LoadTest.Analysis;
using LoadTest.Analysis.DcQuality;
using LoadTest.AnalysisTests.Ac;

namespace LoadTest.AnalysisTests.DcQuality;

/// <summary>Ideal figures: textbooks of power electronics (READ) and computed from the waveforms where they say so.</summary>
public sealed class DcQualityTests
{
    private const double Rate = 36_000;
    private static readonly SamplerAccuracy Exact = new(0, 0);

    [Fact]
    public void Six_pulse_bridge_has_its_textbook_mean_and_ripple()
    {
        // 3√2/π = 1.3505; ripple 4.2 %, exactly 4.1967 %; peak to peak 14.03 % of the mean; 60 V gives 81.03 V.
        var ripple = Ripple.Of(Bridges.Sampled(Bridges.Complete, 60, 6000, 2, offset: 0), 10 * Rate, 60, Exact);

        Assert.Equal(81.03, ripple.Mean.Value, 5e-3);
        Assert.Equal(0.041967, ripple.Factor.Value, 1e-6);
        Assert.Equal(0.1403, ripple.PeakToPeak!.Value / ripple.Mean.Value, 1e-4);
        Assert.Equal(60 * Rectifier.SixPulseMean, ripple.Mean.Value, 1e-3);
    }

    [Fact]
    public void One_open_diode_leaves_five_sixths_and_a_third_of_ripple()
    {
        // Mean 5/6, ripple 34.1 %: COMPUTED, ideal, resistive.
        var ripple = Ripple.Of(Bridges.Sampled(Bridges.OneDiodeOpen), Rate, 60, Exact);

        Assert.Equal(5.0 / 6, ripple.Mean.Value / (60 * Rectifier.SixPulseMean), 1e-4);
        Assert.Equal(0.341, ripple.Factor.Value, 5e-4);
    }

    [Fact]
    public void One_lost_phase_leaves_two_thirds_and_half_of_ripple()
    {
        // Mean 2/3, ripple 48.3 %: COMPUTED, ideal, resistive; the single-phase bridge's 48 % READ.
        var ripple = Ripple.Of(Bridges.Sampled(Bridges.OnePhaseLost), Rate, 60, Exact);

        Assert.Equal(2.0 / 3, ripple.Mean.Value / (60 * Rectifier.SixPulseMean), 1e-4);
        Assert.Equal(0.483, ripple.Factor.Value, 5e-4);
        Assert.Equal(60 * Rectifier.TwoPulseMean, ripple.Mean.Value, 1e-2);
    }

    [Fact]
    public void Ripple_of_meter_readings_is_their_ratio()
    {
        var ripple = Ripple.FromMeters(new Estimate(81, 0.1), new Estimate(3.4, 0.05));

        Assert.Equal(3.4 / 81, ripple.Factor.Value, 1e-15);
        // JCGM 100:2008, 5.1.6: relative uncertainties in square.
        Assert.Equal(Math.Sqrt(0.05 / 3.4 * (0.05 / 3.4) + 0.1 / 81 * (0.1 / 81)), ripple.Factor.Relative, 1e-12);
    }

    [Fact]
    public void Gain_of_the_sampler_leaves_the_factor_alone()
    {
        var ripple = Ripple.Of(Bridges.Sampled(Bridges.Complete), Rate, 60, new SamplerAccuracy(0.01, 0));

        Assert.Equal(0.01, ripple.Mean.Relative, 1e-4);
        Assert.Equal(0.01, ripple.AlternatingRms.Relative, 1e-3);
        Assert.InRange(ripple.Factor.Relative, 0, 2e-3);
    }

    [Fact]
    public void A_window_in_mid_cycle_is_covered_by_its_uncertainty()
    {
        for (var count = 700; count < 1400; count += 7)
        {
            var ripple = Ripple.Of(Bridges.Sampled(Bridges.OneDiodeOpen)[..count], Rate, null, Exact);
            var expected = 60 * Rectifier.SixPulseMean * 5 / 6;
            Assert.InRange(Math.Abs(ripple.Mean.Value - expected), 0, 3 * ripple.Mean.StandardUncertainty);
        }
    }

    [Fact]
    public void A_dead_output_has_no_ripple_factor() =>
        Assert.Throws<ArithmeticException>(() =>
            Ripple.Of(Waves.Noise(4000, 1, 5), Rate, null, new SamplerAccuracy(0, 1))
        );

    [Fact]
    public void Drops_and_overlap_come_off_the_mean()
    {
        // 60 V: 81.03 V and, smoothed, 84.85 V (READ); 2 V and 3/π·0.02·200 = 3.82 V off: arithmetic.
        var sixty = new Estimate(60, 0.3);
        var none = new Estimate(0, 0);

        Assert.Equal(81.03, Rectifier.SixPulse(sixty, none, none, none).Value, 5e-3);
        Assert.Equal(84.85, Rectifier.SmoothedLightLoad(sixty, none).Value, 5e-3);
        // Single phase: 0.9003 of the rms (READ to 0.90).
        Assert.Equal(54.019, Rectifier.TwoPulse(sixty, none).Value, 5e-3);
        var loaded = Rectifier.SixPulse(sixty, new Estimate(1, 0.1), new Estimate(0.02, 0.002), new Estimate(200, 1));
        Assert.Equal(75.21, loaded.Value, 5e-3);
        Assert.Equal(
            Math.Sqrt(Square(1.35047 * 0.3) + Square(0.2) + Square(3 / Math.PI * 0.4) + Square(3 / Math.PI * 0.02)),
            loaded.StandardUncertainty,
            1e-5
        );
    }

    [Fact]
    public void Overlap_takes_off_what_the_waveform_loses()
    {
        // Commutation at 60 V, 0.02 Ω, 200 A: during overlap the output is the mean of the two commutating line voltages.
        // Mean of that waveform over one sixth of a cycle, integrated here, against the formula.
        const double Peak = 60 * 1.4142135623730951;
        var overlap = Math.Acos(1 - 2 * 0.02 * 200 / Peak);
        const int Steps = 600_000;
        double sum = 0;
        for (var i = 0; i < Steps; i++)
        {
            var angle = (i + 0.5) / Steps * Math.PI / 3;
            // From the moment the new line voltage overtakes the old one, 30 degrees before its peak.
            var rising = Math.Cos(angle - Math.PI / 6);
            var falling = Math.Cos(angle + Math.PI / 6);
            sum += angle < overlap ? 0.5 * (rising + falling) : rising;
        }

        var found = Rectifier.SixPulse(new(60, 0), new(0, 0), new(0.02, 0), new(200, 0)).Value;

        Assert.Equal(Peak * sum / Steps, found, 1e-3);
    }

    [Theory]
    [InlineData("complete", BridgeState.Complete)]
    [InlineData("one open", BridgeState.DiodeOpen)]
    [InlineData("two open", BridgeState.MoreThanOneOpen)]
    [InlineData("phase lost", BridgeState.PhaseLost)]
    [InlineData("smooth", BridgeState.TooSmooth)]
    public void Faults_of_a_bridge_are_told_apart(string bridge, BridgeState state)
    {
        Func<double, double> wave = bridge switch
        {
            "complete" => Bridges.Complete,
            "one open" => Bridges.OneDiodeOpen,
            "two open" => Bridges.TwoDiodesOpen,
            "phase lost" => Bridges.OnePhaseLost,
            _ => t => 1.2 + 0.002 * Math.Sin(12 * Math.PI * t),
        };
        var samples = Bridges.Sampled(wave)[..7001].Plus(Waves.Noise(7001, 0.3, 1));

        var finding = BridgeJudgement.Of(samples, Rate, 60, new Estimate(81.03, 0.1));

        Assert.Equal(state, finding.State);
    }

    [Fact]
    public void Amplitudes_of_the_ideal_bridges_are_as_documented()
    {
        // COMPUTED from the waveforms by an independent Fourier transform.
        var open = BridgeJudgement.Of(Bridges.Sampled(Bridges.OneDiodeOpen), Rate, 60, new Estimate(81.03, 0));
        var lost = BridgeJudgement.Of(Bridges.Sampled(Bridges.OnePhaseLost), Rate, 60);
        var whole = BridgeJudgement.Of(Bridges.Sampled(Bridges.Complete), Rate, 60);

        Assert.Equal(0.36276, open.AtLine.Value, 1e-4);
        Assert.Equal(0.26667, open.AtTwice.Value, 1e-4);
        Assert.Equal(5.0 / 6, open.PartOfExpectedMean!.Value.Value, 1e-3);
        Assert.Equal(0.66667, lost.AtTwice.Value, 1e-4);
        Assert.Equal(0, lost.AtLine.Value, 1e-9);
        Assert.Equal(2.0 / 35, whole.AtSix.Value, 1e-4);
        Assert.Contains("5/6", open.Words);
    }

    [Fact]
    public void Unbalanced_lines_are_not_taken_for_a_fault()
    {
        static double Unbalanced(double turns)
        {
            var a = Math.Sqrt(2.0 / 3) * 0.94 * Math.Sin(2 * Math.PI * turns);
            var b = Math.Sqrt(2.0 / 3) * Math.Sin(2 * Math.PI * (turns - 1.0 / 3));
            var c = Math.Sqrt(2.0 / 3) * Math.Sin(2 * Math.PI * (turns - 2.0 / 3));
            return Math.Max(a, Math.Max(b, c)) - Math.Min(a, Math.Min(b, c));
        }

        Assert.Equal(BridgeState.Complete, BridgeJudgement.Of(Bridges.Sampled(Unbalanced), Rate, 60).State);
    }

    [Theory]
    [InlineData(64)]
    [InlineData(100)]
    [InlineData(257)]
    public void Fourier_transform_agrees_with_its_definition(int count)
    {
        var values = Waves.Noise(count, 1, count).Zip(Waves.Noise(count, 1, 2), (a, b) => new Complex(a, b)).ToArray();

        var lines = FourierTransform.Of(values);

        for (var k = 0; k < count; k++)
        {
            Complex sum = 0;
            for (var i = 0; i < count; i++)
            {
                sum += values[i] * Complex.FromPolarCoordinates(1, -2 * Math.PI * ((long)i * k % count) / count);
            }

            Assert.Equal(0, (lines[k] - sum).Magnitude, 1e-11 * count);
        }
    }

    [Fact]
    public void Spectrum_reads_the_amplitude_of_a_line()
    {
        var samples = Waves.Of(
            5000,
            5000,
            t => 80 + 3 * Math.Cos(2 * Math.PI * 360 * t + 1) + Math.Sin(2 * Math.PI * 120 * t)
        );

        var spectrum = Spectrum.Of(samples, 5000);

        Assert.Equal(360, spectrum.DominantHertz);
        Assert.Equal(3, spectrum.Amplitudes[360], 1e-9);
        Assert.Equal(1, spectrum.Amplitudes[120], 1e-9);
        Assert.Equal(0, spectrum.Amplitudes[200], 1e-9);
    }

    [Theory]
    // Ripple is at six times the line frequency, 360 Hz at 60 Hz (READ); at f and 2f with the faults (COMPUTED).
    [InlineData("complete", 360)]
    [InlineData("one open", 60)]
    [InlineData("phase lost", 120)]
    public void Dominant_ripple_is_where_the_bridge_puts_it(string bridge, double hertz)
    {
        Func<double, double> wave = bridge switch
        {
            "complete" => Bridges.Complete,
            "one open" => Bridges.OneDiodeOpen,
            _ => Bridges.OnePhaseLost,
        };

        Assert.Equal(hertz, Spectrum.Of(Bridges.Sampled(wave), Rate).DominantHertz!.Value, 1e-9);
    }

    private static double Square(double value) => value * value;
}
