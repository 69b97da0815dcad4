using CsCheck;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Uncertainty;

public class PropagationTests
{
    private static readonly double[] V = [5.007, 4.994, 5.005, 4.990, 4.999];
    private static readonly double[] I = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3];
    private static readonly double[] Phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

    private static double Correlate(double[] a, double[] b)
    {
        double ma = a.Average(),
            mb = b.Average();
        return a.Zip(b, (x, y) => (x - ma) * (y - mb)).Sum()
            / Math.Sqrt(a.Sum(x => (x - ma) * (x - ma)) * b.Sum(y => (y - mb) * (y - mb)));
    }

    // Five sets taken together: plain s/√n with ν = 4, not the effective count of a time series.
    private static UncertaintyInput Input(string name, double[] x)
    {
        var mean = x.Average();
        var u = Math.Sqrt(x.Sum(v => (v - mean) * (v - mean)) / (x.Length - 1.0) / x.Length);
        return UncertaintyInput.FromScatter(name, new(mean, u, x.Length - 1), x.Length);
    }

    private static MeasurementModel Impedance(string name, ModelFunction f) =>
        new(
            name,
            "Ω",
            f,
            [Input("V", V), Input("I", I), Input("φ", Phi)],
            [new("V", "I", Correlate(V, I)), new("V", "φ", Correlate(V, Phi)), new("I", "φ", Correlate(I, Phi))]
        );

    [Fact]
    public void Resistance_reactance_and_impedance_of_GUM_H2_reach_full_precision()
    {
        // JCGM 100:2008, H.2, data and printed results read (127.732(71), 219.847(295), 254.260(236) Ω); further digits computed.
        Assert.Equal(-0.3553112198, Correlate(V, I), 9);
        Assert.Equal(0.8576242108, Correlate(V, Phi), 9);
        Assert.Equal(-0.6451112177, Correlate(I, Phi), 9);
        var r = Impedance("R", x => x[0] / x[1] * Math.Cos(x[2])).Budget().Combined;
        var x = Impedance("X", x => x[0] / x[1] * Math.Sin(x[2])).Budget().Combined;
        var z = Impedance("Z", x => x[0] / x[1]).Budget().Combined;
        Digits.AtLeast(12, r.Value, 127.73216992810205, "R");
        Digits.AtLeast(12, x.Value, 219.84651191263845, "X");
        Digits.AtLeast(12, z.Value, 254.25970194801894, "Z");
        Digits.AtLeast(9, r.StandardUncertainty, 0.07107140739699512, "u(R)");
        Digits.AtLeast(9, x.StandardUncertainty, 0.2955816773586382, "u(X)");
        Digits.AtLeast(9, z.StandardUncertainty, 0.23633613008237028, "u(Z)");
        Assert.Equal(4, r.DegreesOfFreedom, 9);
    }

    [Fact]
    public void Correlations_of_the_results_of_GUM_H2_come_out_of_their_sums()
    {
        // Published −0.588, −0.485, 0.993 (table H.4); further digits computed. u²(a + b) = u²(a) + u²(b) + 2 r u(a) u(b).
        ModelFunction r = x => x[0] / x[1] * Math.Cos(x[2]);
        ModelFunction x = x => x[0] / x[1] * Math.Sin(x[2]);
        ModelFunction z = x => x[0] / x[1];
        Assert.Equal(-0.5884297844, Together(r, x), 7);
        Assert.Equal(-0.4852592242, Together(r, z), 7);
        Assert.Equal(0.9925116490, Together(x, z), 7);

        static double Together(ModelFunction a, ModelFunction b)
        {
            double U(ModelFunction f) => Impedance("of the circuit", f).Budget().Combined.StandardUncertainty;
            var (ua, ub, sum) = (U(a), U(b), U(v => a(v) + b(v)));
            return ((sum * sum) - (ua * ua) - (ub * ub)) / (2 * ua * ub);
        }
    }

    private static MeasurementModel EndGauge() =>
        new(
            "Length of the end gauge",
            "nm",
            x =>
            {
                // l = ls + d − ls·(δα·θ + αs·δθ), GUM H.1, equation H.3; θ is the mean deviation plus the cyclic one.
                var theta = x[4] + x[5];
                return x[0] + x[1] + x[2] + x[3] - x[0] * (x[6] * theta + x[7] * x[8]);
            },
            [
                UncertaintyInput.FromStandard("standard", 50000623, 25, 18),
                UncertaintyInput.FromStandard("observations", 215, 5.8, 24),
                UncertaintyInput.FromStandard("comparator, random", 0, 3.9, 5),
                UncertaintyInput.FromStandard("comparator, systematic", 0, 6.7, 8),
                UncertaintyInput.FromStandard("mean temperature deviation", -0.1, 0.2),
                UncertaintyInput.FromHalfWidth("cyclic temperature", 0, 0.5, Distribution.ArcSine),
                UncertaintyInput.FromHalfWidth("difference of expansion", 0, 1e-6, Distribution.Rectangular, 50),
                UncertaintyInput.FromHalfWidth("expansion of the standard", 11.5e-6, 2e-6),
                UncertaintyInput.FromHalfWidth("difference of temperature", 0, 0.05, Distribution.Rectangular, 2),
            ]
        );

    [Fact]
    public void Second_order_terms_of_GUM_H1_raise_32_to_34_nanometres()
    {
        // JCGM 100:2008, H.1.7: 34 nm (published figure, from memory).
        var model = EndGauge();
        Assert.Equal(31.7, model.Budget(0.99).Combined.StandardUncertainty, 1);
        Assert.Equal(34, Math.Round(model.SecondOrderUncertainty()));
    }

    [Fact]
    public void Gauge_block_of_JCGM_101_reaches_its_Monte_Carlo_figures()
    {
        // JCGM 101:2008, 9.5: 838 nm, u 36 nm; 99 % interval 744.4 to 931.6 nm (inputs from memory, own 10⁷ run of another
        // program; the published last digits not confirmed), t for the standard and the comparator, curvilinear trapezoids.
        var model = new MeasurementModel(
            "δL",
            "nm",
            x =>
            {
                var theta = x[4] + x[5];
                return x[0] + x[1] + x[2] + x[3] - (50000000 + x[0]) * (x[6] * theta + x[7] * x[8]);
            },
            [
                UncertaintyInput.FromStandard("standard", 623, 25, 18),
                UncertaintyInput.FromStandard("observations", 215, 6, 24),
                UncertaintyInput.FromStandard("comparator, random", 0, 4, 5),
                UncertaintyInput.FromStandard("comparator, systematic", 0, 7, 8),
                UncertaintyInput.FromStandard("mean temperature deviation", -0.1, 0.2),
                UncertaintyInput.FromHalfWidth("cyclic temperature", 0, 0.5, Distribution.ArcSine),
                UncertaintyInput.FromHalfWidth("difference of expansion", 0, 1e-6, Distribution.Rectangular, 50),
                UncertaintyInput.FromHalfWidth("expansion of the standard", 11.5e-6, 2e-6),
                UncertaintyInput.FromHalfWidth("difference of temperature", 0, 0.05, Distribution.Rectangular, 2),
            ]
        );
        var found = model.Propagate(1, new() { Trials = 1_000_000, CoverageProbability = 0.99 });
        Assert.InRange(found.Mean, 837.8, 838.2);
        Assert.InRange(found.StandardUncertainty, 35.5, 36.4);
        Assert.InRange(found.Low, 743.4, 745.4);
        Assert.InRange(found.High, 930.6, 932.6);
    }

    private static MeasurementModel Sum(double first, Distribution distribution) =>
        new(
            "y",
            "1",
            x => x[0] + x[1] + x[2] + x[3],
            [
                .. Enumerable
                    .Range(0, 4)
                    .Select(i =>
                        distribution == Distribution.Normal
                            ? UncertaintyInput.FromStandard($"x{i}", 0, i == 0 ? first : 1)
                            : UncertaintyInput.FromHalfWidth($"x{i}", 0, Math.Sqrt(3) * (i == 0 ? first : 1))
                    ),
            ]
        );

    [Theory]
    [InlineData(Distribution.Normal, 1, 2.0, 3.919928, true)]
    [InlineData(Distribution.Rectangular, 1, 2.0, 3.879406741, true)]
    [InlineData(Distribution.Rectangular, 10, 10.148891565, 17.0158141, false)]
    public void Additive_models_of_JCGM_101_reach_their_intervals(
        Distribution distribution,
        double first,
        double u,
        double end,
        bool linear
    )
    {
        // JCGM 101:2008, 9.2: ± 3.92, ± 3.88, ± 17.0 against the linear ± 19.9 (published figures from memory; exact values computed).
        // Standard error of an end of 10⁶ trials is below 0.01 of u.
        var model = Sum(first, distribution);
        var found = model.Propagate(7, new() { Trials = 1_000_000 });
        Assert.Equal(u, found.StandardUncertainty, 0.01 * u);
        Assert.Equal(-end, found.Low, 0.01 * u);
        Assert.Equal(end, found.High, 0.01 * u);
        Assert.InRange(found.ShortestHigh - found.ShortestLow, 2 * end - 0.03 * u, found.High - found.Low);
        // Two digits: δ = 0.05 for u = 2.0, which 3.92 − 3.88 keeps; δ = 0.5 for u = 10, which 19.9 − 17.0 does not.
        Assert.Equal(linear, found.Check(model.Budget()).MayUseLinear);
    }

    private static MeasurementModel Mass() =>
        new(
            "δm",
            "mg",
            x => (x[0] + x[1]) * (1 + (x[2] - 1.2) * (1 / x[3] - 1 / x[4])) - 100000,
            [
                UncertaintyInput.FromStandard("reference", 100000, 0.050),
                UncertaintyInput.FromStandard("added", 1.234, 0.020),
                UncertaintyInput.FromHalfWidth("air", 1.2, 0.1),
                UncertaintyInput.FromHalfWidth("unknown's density", 8000, 1000),
                UncertaintyInput.FromHalfWidth("reference's density", 8000, 50),
            ]
        );

    [Fact]
    public void Mass_calibration_of_JCGM_101_needs_more_than_the_first_order()
    {
        // JCGM 101:2008, 9.3, table 6 (from memory): first order 0.0539, second order 0.0750, Monte Carlo 0.0754 mg
        // [1.0834, 1.3825]; own 2·10⁷ run of another program 0.07547, shortest [1.0841, 1.3832].
        var model = Mass();
        Assert.Equal(0.0539, model.Budget().Combined.StandardUncertainty, 4);
        Assert.Equal(0.0750, model.SecondOrderUncertainty(), 4);
        var found = model.Propagate(3, new() { Trials = 1_000_000 });
        Assert.Equal(1.2340, found.Mean, 0.0004);
        Assert.Equal(0.0754, found.StandardUncertainty, 0.0005);
        Assert.Equal(1.0845, found.Low, 0.0015);
        Assert.Equal(1.3835, found.High, 0.0015);
        // The place of a shortest interval scatters with n^(−1/3), its length does not: 1.3832 − 1.0841 mg.
        Assert.Equal(0.2991, found.ShortestHigh - found.ShortestLow, 0.0015);
        var check = found.Check(model.Budget());
        Assert.False(check.MayUseLinear);
        Assert.Contains("not good enough", check.Describe("mg"), StringComparison.Ordinal);
    }

    [Fact]
    public void An_adaptive_run_stops_when_its_digits_are_stable_and_repeats_on_its_seed()
    {
        var model = Sum(1, Distribution.Normal);
        var a = model.Propagate(5, new() { Digits = 1 });
        var b = model.Propagate(5, new() { Digits = 1 });
        Assert.Equal(a, b);
        Assert.True(a.IsStable);
        Assert.Equal(0.5, a.Tolerance);
        Assert.False(Mass().Propagate(5, new() { Digits = 2, MostTrials = 20_000 }).IsStable);
        Assert.NotEqual(a.Mean, model.Propagate(6, new() { Digits = 1 }).Mean);
    }

    [Theory]
    [InlineData(0.035, 2, 0.0005)]
    [InlineData(0.0996, 2, 0.005)]
    [InlineData(2.0, 1, 0.5)]
    [InlineData(0.0, 2, 0.0)]
    public void Tolerance_is_half_of_the_last_digit_that_counts(double u, int digits, double tolerance)
    {
        // JCGM 101:2008, 7.9.2: u = 0.035 to two digits is 35·10⁻³, δ = 0.0005 (example of the clause, from memory).
        Assert.Equal(tolerance, MonteCarlo.ToleranceOf(u, digits), 12);
    }

    [Fact]
    public void Normal_deviates_have_the_moments_and_tails_of_a_normal()
    {
        var chance = new SeededChance(42);
        const int N = 4_000_000;
        double m1 = 0,
            m2 = 0,
            m4 = 0;
        int beyond2 = 0,
            beyond4 = 0;
        for (var i = 0; i < N; i++)
        {
            var x = chance.Normal();
            m1 += x;
            m2 += x * x;
            m4 += x * x * x * x;
            beyond2 += Math.Abs(x) > 2 ? 1 : 0;
            beyond4 += Math.Abs(x) > 4 ? 1 : 0;
        }
        // Five standard errors each: 1/√N, √(2/N), √(96/N), and of the counts.
        Assert.Equal(0, m1 / N, 5 / Math.Sqrt(N));
        Assert.Equal(1, m2 / N, 5 * Math.Sqrt(2.0 / N));
        Assert.Equal(3, m4 / N, 5 * Math.Sqrt(96.0 / N));
        Assert.Equal(0.045500264 * N, beyond2, 5 * Math.Sqrt(0.0455 * N));
        Assert.Equal(6.334248e-5 * N, beyond4, 5 * Math.Sqrt(6.33e-5 * N));
    }

    [Fact]
    public void Student_deviates_have_the_tails_of_their_degrees_of_freedom()
    {
        var chance = new SeededChance(43);
        const int N = 400_000;
        var beyond = 0;
        for (var i = 0; i < N; i++)
            beyond += Math.Abs(chance.StudentT(4)) > 2.776445105 ? 1 : 0;
        // Table G.2 of JCGM 100:2008: t95(4) = 2.78.
        Assert.Equal(0.05 * N, beyond, 5 * Math.Sqrt(0.05 * N));
    }

    [Fact]
    public void Monte_Carlo_and_linear_agree_for_linear_models_of_normal_inputs_even_when_correlated()
    {
        Gen.Select(Gen.Double[0.2, 2].Array[3], Gen.Double[0.2, 2].Array[3], Gen.Double[-0.9, 0.9])
            .Sample(
                (c, u, r) =>
                {
                    var model = new MeasurementModel(
                        "y",
                        "1",
                        x => c[0] * x[0] + c[1] * x[1] + c[2] * x[2],
                        [.. u.Select((v, i) => UncertaintyInput.FromStandard($"x{i}", i, v))],
                        [new("x0", "x1", r)]
                    );
                    var linear = model.Budget().Combined;
                    var found = model.Propagate(9, new() { Trials = 100_000 });
                    var scale = linear.StandardUncertainty + 1e-9;
                    return Math.Abs(found.StandardUncertainty - linear.StandardUncertainty) < 0.02 * scale
                        && Math.Abs(found.Mean - linear.Value) < 0.02 * scale
                        && Math.Abs(found.High - linear.Value - 1.959964 * scale) < 0.05 * scale;
                },
                iter: 30
            );
    }

    [Fact]
    public void A_model_without_a_value_says_so()
    {
        UncertaintyInput[] inputs = [UncertaintyInput.FromStandard("x", 0.1, 1)];
        var model = new MeasurementModel("y", "1", x => Math.Log(x[0]), inputs);
        Assert.Throws<ArgumentException>(() => model.Propagate(1, new() { Trials = 1000 }));
        Assert.Throws<ArgumentException>(() => model.Budget());
        Assert.Throws<ArgumentException>(() => new MeasurementModel("y", "1", x => 1 / (x[0] - 0.1), inputs));
    }
}
