using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class VoltAmpAnalysisTests
{
    private static readonly double[] s_amperes = [0, 25, 60, 100, 140, 180, 210, 230, 245, 255, 262, 270, 278];

    [Fact]
    public void Readings_on_a_line_give_its_open_circuit_voltage_and_slope()
    {
        var curve = VoltAmpAnalysis.Fit(Line(60, 0.05, 0, 100, 200, 300));
        Assert.Equal(VoltAmpModel.StraightLine, curve.Model);
        Assert.Equal(60, curve.OpenCircuitVoltage!.Value, 10);
        Assert.False(curve.OpenCircuitVoltage.IsExtrapolated);
        Assert.Equal(-5, curve.Result("slope")!.Value, 10);
        Assert.Equal(1200, curve.ShortCircuitCurrent!.Value, 8);
        Assert.True(curve.ShortCircuitCurrent.IsExtrapolated);
        Assert.Equal(100 * ((60.0 / 45) - 1), curve.Result("regulation")!.Value, 9);

        // 60 − 0.05 I = 20 + 0.04 I at I = 444.4 A, 37.78 V: arithmetic.
        var mma = curve.OperatingPoint(LoadLine.CoveredElectrode)!;
        Assert.Equal(40 / 0.09, mma.Amperes.Value, 8);
        Assert.True(mma.IsExtrapolated);
        Assert.Equal(mma.Amperes.Value * mma.Volts.Value, mma.Watts.Value, 8);
    }

    [Theory]
    [InlineData(1.0, 0.02, false)]
    [InlineData(60.0, 0.02, false)]
    [InlineData(1e5, 0.02, true)]
    public void A_knee_is_found_whether_its_branch_falls_slowly_or_upright(double steep, double level, bool upright)
    {
        var points = Knee(70, level, steep, 200, 0.05, 0.2, seed: 5, upright);
        var curve = VoltAmpAnalysis.Fit(points);
        Assert.True(
            curve.Model is VoltAmpModel.SharpKnee or VoltAmpModel.RoundedKnee,
            curve.ModelName + ": " + curve.Reason
        );
        Assert.Contains("knee", curve.ModelName, StringComparison.Ordinal);
        var knee = curve.Result("knee current")!;
        Assert.InRange(
            knee.Value,
            200 - (4 * knee.StandardUncertainty!.Value),
            200 + (4 * knee.StandardUncertainty.Value)
        );
        Assert.InRange(knee.StandardUncertainty.Value, 0.01, 3);
        var open = curve.OpenCircuitVoltage!;
        Assert.InRange(
            open.Value,
            70 - (4 * open.StandardUncertainty!.Value),
            70 + (4 * open.StandardUncertainty.Value)
        );
        Assert.Equal(-100 * level, curve.Result("slope")!.Value, 0);
    }

    [Fact]
    public void A_knee_says_whether_the_machine_sets_amperes_or_volts()
    {
        // The covered-electrode load needs 26 V at 150 A: below a corner of 71 V, above one of 25 V. Invented readings.
        (double, double)[] current =
        [
            (0.0, 74.8),
            (40.2, 73.9),
            (80.1, 73.2),
            (120.4, 72.1),
            (146.8, 71.5),
            (150.3, 60.2),
            (150.9, 48.1),
            (151.2, 36.0),
            (151.8, 24.2),
            (152.1, 15.1),
        ];
        var curve = VoltAmpAnalysis.Fit([.. current.Select(p => new VoltAmpPoint(p.Item1, p.Item2, 0.3, 0.1))]);
        Assert.EndsWith("(constant current with voltage limit)", curve.ModelName, StringComparison.Ordinal);
        Assert.Null(curve.Result("regulation"));
        var rounded = curve.Candidates.Single(c => c.Model == VoltAmpModel.RoundedKnee);
        var sharp = curve.Candidates.Single(c => c.Model == VoltAmpModel.SharpKnee);

        // The rounded corner contains the sharp one, so it can only lose by its extra parameter.
        Assert.InRange(rounded.Criterion!.Value, 0, sharp.Criterion!.Value + 12);

        (double, double)[] voltage =
        [
            (0, 29.0),
            (100, 28.1),
            (200, 27.0),
            (300, 26.1),
            (400, 25.0),
            (410, 20.1),
            (420, 15.0),
            (430, 9.9),
        ];
        var other = VoltAmpAnalysis.Fit([.. voltage.Select(p => new VoltAmpPoint(p.Item1, p.Item2, 0.3, 0.1))]);
        Assert.EndsWith("(constant voltage with current limit)", other.ModelName, StringComparison.Ordinal);
    }

    [Fact]
    public void A_reactance_limited_source_is_an_ellipse()
    {
        var random = new Random(11);
        var points = Enumerable
            .Range(0, 12)
            .Select(k => 5 + (k * 30.0))
            .Select(i => new VoltAmpPoint(
                i + (0.3 * Gauss(random)),
                (80 * Math.Sqrt(1 - (i * i / 160000))) + (0.05 * Gauss(random)),
                0.3,
                0.05
            ))
            .ToArray();
        var curve = VoltAmpAnalysis.Fit(points);
        Assert.Equal(VoltAmpModel.Ellipse, curve.Model);
        var closed = curve.ShortCircuitCurrent!;
        Assert.InRange(
            closed.Value,
            400 - (4 * closed.StandardUncertainty!.Value),
            400 + (4 * closed.StandardUncertainty.Value)
        );
        Assert.True(closed.IsExtrapolated);
        Assert.Equal(80, curve.OpenCircuitVoltage!.Value, 0);
    }

    [Fact]
    public void A_curve_no_formula_describes_is_interpolated_and_said_so()
    {
        var points = Enumerable
            .Range(0, 21)
            .Select(k => k * 15.0)
            .Select(i => new VoltAmpPoint(i, 70 - (0.02 * i) - (8 * Math.Sin(i / 40)), 0.2, 0.02))
            .ToArray();
        var curve = VoltAmpAnalysis.Fit(points);
        Assert.Equal(VoltAmpModel.Interpolation, curve.Model);
        Assert.Contains("times the stated uncertainties", curve.Reason, StringComparison.Ordinal);
        Assert.Equal(70, curve.OpenCircuitVoltage!.Value, 9);
        Assert.Null(curve.ShortCircuitCurrent);
        Assert.Null(curve.Evaluate(400));
    }

    [Fact]
    public void A_bad_reading_is_set_aside_and_never_in_silence()
    {
        var points = Line(62, 0.04, 0, 50, 100, 150, 200, 250, 300)
            .Select(p => p with { AmperesUncertainty = 0.2, VoltsUncertainty = 0.03 })
            .ToArray();
        points[3] = points[3] with { Volts = points[3].Volts + 3 };
        var curve = VoltAmpAnalysis.Fit(points);
        Assert.Equal(VoltAmpModel.StraightLine, curve.Model);
        Assert.Equal(62, curve.OpenCircuitVoltage!.Value, 9);
        Assert.True(curve.Points[3].IsSetAside);
        Assert.Single(curve.Points, p => p.IsOutlier);
        Assert.Contains(curve.Findings, f => f.StartsWith("Point 4 (150 A", StringComparison.Ordinal));

        var kept = VoltAmpAnalysis.Fit(
            points,
            new VoltAmpOptions { Model = VoltAmpModel.StraightLine, SetOutliersAside = false }
        );
        Assert.True(kept.Points[3].IsOutlier);
        Assert.False(kept.Points[3].IsSetAside);
        Assert.Contains(kept.Findings, f => f.Contains("enlarged by that ratio", StringComparison.Ordinal));
    }

    [Fact]
    public void Straight_line_with_errors_in_both_axes_reads_as_ISO_28037_page_21()
    {
        // ISO/TS 28037:2010, clause 7 example (published): a 0.5788 (0.4764), b 2.1597 (0.1355), covariance −0.0577, chi-squared 2.743.
        double[] x = [1.2, 1.9, 2.9, 4.0, 4.7, 5.9];
        double[] y = [3.4, 4.4, 7.2, 8.5, 10.8, 13.5];
        double[] uy = [0.2, 0.2, 0.2, 0.4, 0.4, 0.4];
        var points = x.Select((v, i) => new VoltAmpPoint(v, y[i], 0.2, uy[i])).ToArray();
        var curve = VoltAmpAnalysis.Fit(points, new VoltAmpOptions { Model = VoltAmpModel.StraightLine });
        Assert.Equal(0.5788, curve.Parameters[0].Value, 4);
        Assert.Equal(0.4764, curve.Parameters[0].StandardUncertainty, 4);
        Assert.Equal(-2.1597, curve.Parameters[1].Value, 4);
        Assert.Equal(0.1355, curve.Parameters[1].StandardUncertainty, 4);
        Assert.Equal(2.743, curve.Squares, 3);
    }

    [Fact]
    public void Operating_point_above_the_last_current_of_a_load_line_lies_on_its_level_part()
    {
        // 80 − 0.05 I meets 44 V at 720 A, above the 600 A where the MMA line turns level.
        var curve = VoltAmpAnalysis.Fit(Line(80, 0.05, 0, 200, 400, 600, 800));
        var point = curve.OperatingPoint(LoadLine.CoveredElectrode)!;
        Assert.Equal(720, point.Amperes.Value, 8);
        Assert.Equal(44, point.Volts.Value, 8);
        Assert.False(point.IsExtrapolated);
    }

    [Theory]
    [InlineData("MMA", 250, 30)]
    [InlineData("MMA", 800, 44)]
    [InlineData("TIG", 150, 16)]
    [InlineData("TIG", 700, 34)]
    [InlineData("MIG/MAG", 200, 24)]
    [InlineData("MIG/MAG", 900, 44)]
    [InlineData("SAW", 400, 36)]
    public void Conventional_load_voltage_is_the_one_remembered_from_the_standard(
        string name,
        double amperes,
        double volts
    )
    {
        // IEC 60974-1, 11.2: MIG/MAG formula published in a public source, the rest from memory.
        var line = LoadLine.Conventional.Single(l => string.Equals(l.Name, name, StringComparison.Ordinal));
        Assert.Equal(volts, line.Volts(amperes), 12);
        Assert.Contains("check your copy", line.Status, StringComparison.Ordinal);
    }

    [Fact]
    public void The_rated_point_lies_on_its_own_resistance_line()
    {
        // A machine that just makes 300 A at 32 V: the resistance 0.10667 Ω meets its curve there.
        var curve = VoltAmpAnalysis.Fit(Line(62, 0.1, 0, 100, 200, 350));
        var point = curve.OperatingPoint(LoadLine.ThroughRatedPoint(300, 32))!;
        Assert.Equal(300, point.Amperes.Value, 8);
        Assert.Equal(9600, point.Watts.Value, 6);
    }

    [Fact]
    public void Data_without_an_answer_are_refused_in_words()
    {
        Assert.Contains("at least 2 points", Refusal(Line(60, 0.1, 5)), StringComparison.Ordinal);
        Assert.Contains("at least two different", Refusal(Line(60, 0.1, 5, 5, 5)), StringComparison.Ordinal);
        Assert.Contains("is no reading", Refusal([new(0, double.NaN), new(1, 2), new(2, 3)]), StringComparison.Ordinal);
        Assert.Contains("is no reading", Refusal([new(0, 60), new(9.9e37, 2), new(2, 3)]), StringComparison.Ordinal);
        Assert.Contains(
            "some points and not for others",
            Refusal([new(0, 60, 1, 1), new(1, 59), new(2, 58)]),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "must be finite and above 0",
            Refusal([new(0, 60, 1, 0), new(1, 59, 1, 1), new(2, 58, 1, 1)]),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "differ by more",
            Refusal([new(0, 60, 1, 1), new(1, 59, 1, 1e-9), new(2, 58, 1, 1)]),
            StringComparison.Ordinal
        );
        var few = Assert.Throws<ArgumentException>(() =>
            VoltAmpAnalysis.Fit(Line(60, 0.1, 0, 1, 2), new VoltAmpOptions { Model = VoltAmpModel.RoundedKnee })
        );
        Assert.Contains("needs at least 6 points, 3 were given", few.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(VoltAmpModel.StraightLine)]
    [InlineData(VoltAmpModel.RoundedKnee)]
    [InlineData(VoltAmpModel.Ellipse)]
    [InlineData(VoltAmpModel.Interpolation)]
    public void A_common_gain_error_moves_results_as_a_refit_of_scaled_readings_does(VoltAmpModel model)
    {
        // Law of propagation with full correlation (JCGM 100:2008, 5.2.2): the common part is the shift itself, found here by refitting.
        const double Gain = 1e-4;
        var points =
            model == VoltAmpModel.StraightLine ? Line(60, 0.1, 0, 50, 100, 150, 200, 250, 300)
            : model == VoltAmpModel.RoundedKnee ? Knee(70, 0.02, 1, 200, 0.01, 0.01, seed: 3, upright: false)
            :
            [
                .. Enumerable
                    .Range(0, 12)
                    .Select(k => new VoltAmpPoint(k * 30.0, 80 * Math.Sqrt(1 - (k * k * 900.0 / 160000)))),
            ];
        points = [.. points.Select(p => p with { AmperesUncertainty = 0.01, VoltsUncertainty = 0.01 })];
        foreach (var ofVolts in new[] { true, false })
        {
            var plain = Fit(points, 0, 0);
            var common = Fit(points, ofVolts ? Gain : 0, ofVolts ? 0 : Gain);
            var scaled = Fit(
                [
                    .. points.Select(p =>
                        ofVolts ? p with { Volts = p.Volts * (1 + Gain) } : p with { Amperes = p.Amperes * (1 + Gain) }
                    ),
                ],
                0,
                0
            );
            foreach (var name in new[] { "open-circuit voltage", "operating current, MMA", "output power, MMA" })
            {
                if (plain.Result(name) is not { } alone)
                {
                    continue;
                }

                var u = common.Result(name)!.StandardUncertainty!.Value;
                var extra = Math.Sqrt(
                    Math.Max(0, (u * u) - (alone.StandardUncertainty!.Value * alone.StandardUncertainty.Value))
                );
                var shift = Math.Abs(scaled.Result(name)!.Value - alone.Value);
                Assert.True(
                    Math.Abs(extra - shift) <= (0.02 * shift) + (1e-7 * Math.Abs(alone.Value)),
                    $"{name}: {extra:R} against a shift of {shift:R}"
                );
            }
        }

        VoltAmpCurve Fit(VoltAmpPoint[] readings, double volts, double amperes) =>
            VoltAmpAnalysis.Fit(
                readings,
                new VoltAmpOptions
                {
                    Model = model,
                    SetOutliersAside = false,
                    CommonVoltsGain = volts,
                    CommonAmperesGain = amperes,
                }
            );
    }

    [Fact]
    public void A_start_of_the_wrong_length_is_refused()
    {
        var options = new VoltAmpOptions { Model = VoltAmpModel.StraightLine, Start = [60, 0.1, 1] };
        var refusal = Assert.ThrowsAny<ArgumentException>(() => VoltAmpAnalysis.Fit(Line(60, 0.1, 0, 1, 2), options));
        Assert.Contains("3 values were given where 2", refusal.Message, StringComparison.Ordinal);
        Assert.ThrowsAny<ArgumentException>(() =>
            VoltAmpAnalysis.Fit(Line(60, 0.1, 0, 1, 2), new VoltAmpOptions { RatedAmperes = double.NaN })
        );
    }

    [Fact]
    public void Two_points_without_uncertainties_have_a_curve_and_no_uncertainty()
    {
        var curve = VoltAmpAnalysis.Fit(Line(60, 0.1, 0, 100));
        Assert.Equal(VoltAmpModel.Interpolation, curve.Model);
        Assert.Null(curve.OpenCircuitVoltage!.StandardUncertainty);
        Assert.Equal(60, curve.OpenCircuitVoltage.Value, 10);
    }

    internal static VoltAmpPoint[] Line(double open, double resistance, params double[] amperes) =>
        [.. amperes.Select(i => new VoltAmpPoint(i, open - (resistance * i)))];

    internal static double Gauss(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    // Points on two branches that meet at the knee current; an upright branch is sampled by volts.
    private static VoltAmpPoint[] Knee(
        double open,
        double level,
        double steep,
        double knee,
        double uv,
        double ua,
        int seed,
        bool upright
    )
    {
        var random = new Random(seed);
        var corner = open - (level * knee);
        var branch =
            upright || steep > 10
                ? new[] { 0.98, 0.9, 0.8, 0.65, 0.5, 0.35, 0.25 }.Select(f =>
                    (knee + (corner * (1 - f) / steep), corner * f)
                )
                : new[] { 5.0, 10, 18, 25, 32, 40, 48 }.Select(d => (knee + d, corner - (steep * d)));
        return
        [
            .. s_amperes
                .Where(i => i < knee)
                .Select(i => (i, open - (level * i)))
                .Concat(branch)
                .Select(p => new VoltAmpPoint(p.Item1 + (ua * Gauss(random)), p.Item2 + (uv * Gauss(random)), ua, uv)),
        ];
    }

    private static string Refusal(VoltAmpPoint[] points) =>
        Assert.ThrowsAny<ArgumentException>(() => VoltAmpAnalysis.Fit(points)).Message;
}
