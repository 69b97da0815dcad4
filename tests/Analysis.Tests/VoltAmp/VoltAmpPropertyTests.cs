using CsCheck;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class VoltAmpPropertyTests
{
    private const string Seed = "0000KMvBpnk3";

    // A source with a rounded knee, uncertainties in both axes, and a seed of its own.
    private static readonly Gen<VoltAmpPoint[]> s_curves = Gen.Select(
        Gen.Double[50, 90],
        Gen.Double[0.01, 0.05],
        Gen.Double[0.3, 3],
        Gen.Double[150, 250],
        Gen.Int[1, 1_000_000],
        (open, level, steep, knee, seed) => Curve(open, level, steep, knee, 0.1, 0.05, seed)
    );

    [Fact]
    public void Order_of_the_readings_does_not_matter() =>
        s_curves.Sample(
            points =>
            {
                var forward = VoltAmpAnalysis.Fit(points);
                var backward = VoltAmpAnalysis.Fit(points.Reverse().ToArray());
                return forward.Model == backward.Model && Same(forward, backward, 1, 1);
            },
            seed: Seed,
            iter: 200,
            threads: 1
        );

    [Fact]
    public void Units_do_not_matter() =>
        s_curves.Sample(
            points =>
            {
                var plain = VoltAmpAnalysis.Fit(points, new VoltAmpOptions { LoadLines = [] });
                var small = VoltAmpAnalysis.Fit(
                    points
                        .Select(p => new VoltAmpPoint(
                            p.Amperes / 1000,
                            p.Volts * 1000,
                            p.AmperesUncertainty / 1000,
                            p.VoltsUncertainty * 1000
                        ))
                        .ToArray(),
                    new VoltAmpOptions { LoadLines = [] }
                );
                return plain.Model == small.Model && Same(plain, small, 1e-3, 1e3);
            },
            seed: Seed,
            iter: 200,
            threads: 1
        );

    [Fact]
    public void Origin_of_the_currents_does_not_matter()
    {
        // A meter offset moves the curve along: volts at a moved current are the volts at the old one.
        s_curves.Sample(
            points =>
            {
                var plain = VoltAmpAnalysis.Fit(points, new VoltAmpOptions { Model = VoltAmpModel.StraightLine });
                var moved = VoltAmpAnalysis.Fit(
                    points.Select(p => p with { Amperes = p.Amperes + 1000 }).ToArray(),
                    new VoltAmpOptions { Model = VoltAmpModel.StraightLine }
                );
                var (a, b) = (plain.Evaluate(120)!.Value, moved.Evaluate(1120)!.Value);
                return Close(a.Value, b.Value) && Close(a.StandardUncertainty, b.StandardUncertainty);
            },
            seed: Seed,
            iter: 200,
            threads: 1
        );
    }

    [Fact]
    public void Confidence_band_of_a_knee_covers_at_its_stated_rate()
    {
        // 10 000 simulated sets, stated uncertainties in both axes; binomial standard deviation 0.22 %, bound 4 of them and the curvature.
        var (inside, all) = (0, 0);
        for (var seed = 1; seed <= 10_000; seed++)
        {
            var points = Curve(72, 0.03, 0.9, 200, 0.1, 0.05, seed, fixedWidth: 30);
            var curve = VoltAmpAnalysis.Fit(
                points,
                new VoltAmpOptions
                {
                    Model = VoltAmpModel.RoundedKnee,
                    Start = [70, 0.025, 0.8, 195, 20],
                    SetOutliersAside = false,
                    EnlargeForScatter = false,
                }
            );
            var truth = True(72, 0.03, 0.9, 200, 30, 100);
            inside += curve.ConfidenceBand(100)!.Value.Contains(truth) ? 1 : 0;
            all++;
        }

        Assert.InRange((double)inside / all, 0.94, 0.96);
    }

    [Fact]
    public void Bands_of_a_line_without_stated_uncertainties_cover_at_their_stated_rate()
    {
        // Student's t is exact here: 95 % within 4 binomial standard deviations (0.9 %) over 10 000 sets, for curve and further reading.
        var random = new Random(48213);
        var (line, reading) = (0, 0);
        for (var k = 0; k < 10_000; k++)
        {
            var points = Enumerable
                .Range(0, 6)
                .Select(i => new VoltAmpPoint(
                    i * 50.0,
                    60 - (0.1 * i * 50) + (0.2 * VoltAmpAnalysisTests.Gauss(random))
                ))
                .ToArray();
            var curve = VoltAmpAnalysis.Fit(
                points,
                new VoltAmpOptions { Model = VoltAmpModel.StraightLine, SetOutliersAside = false }
            );
            line += curve.ConfidenceBand(170)!.Value.Contains(43) ? 1 : 0;
            reading += curve.PredictionBand(170)!.Value.Contains(43 + (0.2 * VoltAmpAnalysisTests.Gauss(random)))
                ? 1
                : 0;
        }

        Assert.InRange(line / 10_000.0, 0.9413, 0.9587);
        Assert.InRange(reading / 10_000.0, 0.9413, 0.9587);
    }

    [Fact]
    public void The_right_shape_is_chosen_nearly_always()
    {
        var (lines, knees) = (0, 0);
        for (var seed = 1; seed <= 300; seed++)
        {
            var random = new Random(seed);
            var straight = Enumerable
                .Range(0, 10)
                .Select(i => new VoltAmpPoint(
                    (i * 30) + (0.1 * VoltAmpAnalysisTests.Gauss(random)),
                    65 - (0.06 * i * 30) + (0.05 * VoltAmpAnalysisTests.Gauss(random)),
                    0.1,
                    0.05
                ))
                .ToArray();
            lines += VoltAmpAnalysis.Fit(straight).Model == VoltAmpModel.StraightLine ? 1 : 0;
            var bent = VoltAmpAnalysis.Fit(Curve(72, 0.03, 0.9, 200, 0.1, 0.05, seed, fixedWidth: 20));
            knees += bent.Model is VoltAmpModel.RoundedKnee or VoltAmpModel.SharpKnee ? 1 : 0;
        }

        Assert.InRange(lines, 270, 300);
        Assert.InRange(knees, 290, 300);
    }

    [Fact]
    public void Readings_of_any_kind_give_finite_numbers_or_a_refusal()
    {
        var number = Gen.OneOf(
            Gen.Double[0, 400],
            Gen.Double[-1, 1],
            Gen.Int[0, 3].Select(v => (double)v),
            Among(0, 1e-12, 1e6, 9.9e37, double.NaN, double.PositiveInfinity, 60)
        );
        var uncertainty = Gen.OneOf(Gen.Double[0.001, 1], Among(0.1, 0.1, 0.1, 0, -1, 1e-9));
        var stated = Gen.Select(number, number, uncertainty, uncertainty)
            .Select(p => new VoltAmpPoint(p.Item1, p.Item2, p.Item3, p.Item4));
        var bare = Gen.Select(number, number).Select(p => new VoltAmpPoint(p.Item1, p.Item2));
        var answered = 0;
        Gen.OneOf(stated.Array[0, 12], bare.Array[0, 12], Plain())
            .Sample(
                points =>
                {
                    try
                    {
                        var curve = VoltAmpAnalysis.Fit(points);
                        answered++;
                        Assert.NotEmpty(curve.Reason);
                        Assert.Equal(points.Length, curve.Points.Count);
                        Assert.All(
                            curve.Results,
                            r =>
                                Assert.True(
                                    double.IsFinite(r.Value) && !double.IsNaN(r.StandardUncertainty ?? 0),
                                    $"{curve.ModelName} {r}"
                                )
                        );
                        Assert.All(curve.Findings, f => Assert.DoesNotContain("NaN", f, StringComparison.Ordinal));
                    }
                    catch (ArgumentException refusal)
                    {
                        Assert.DoesNotContain("Index", refusal.Message, StringComparison.Ordinal);
                    }
                },
                seed: Seed,
                iter: 3000,
                threads: 1
            );
        Assert.True(answered > 300, $"only {answered} of 3000 were answered");

        static Gen<double> Among(params double[] values) => Gen.Int[0, values.Length - 1].Select(k => values[k]);

        static Gen<VoltAmpPoint[]> Plain() =>
            Gen.Select(Gen.Double[0, 400], Gen.Double[0, 90]).Select(p => new VoltAmpPoint(p.Item1, p.Item2)).Array[
                2,
                15
            ];
    }

    private static bool Same(VoltAmpCurve a, VoltAmpCurve b, double amperes, double volts)
    {
        foreach (
            var (name, factor) in new[]
            {
                ("open-circuit voltage", volts),
                ("knee current", amperes),
                ("knee voltage", volts),
            }
        )
        {
            var (first, second) = (a.Result(name), b.Result(name));
            if (
                first is null != second is null
                || (
                    first is not null
                    && (
                        !Close(first.Value * factor, second!.Value)
                        || !Close(first.StandardUncertainty!.Value * factor, second.StandardUncertainty!.Value)
                    )
                )
            )
            {
                return false;
            }
        }

        return true;
    }

    private static bool Close(double a, double b) => Math.Abs(a - b) <= 1e-6 * Math.Max(Math.Abs(a), Math.Abs(b));

    private static double True(double open, double level, double steep, double knee, double width, double amperes)
    {
        var t = amperes - knee;
        return open - (level * amperes) - (0.5 * steep * (t + Math.Sqrt((t * t) + (width * width))));
    }

    private static VoltAmpPoint[] Curve(
        double open,
        double level,
        double steep,
        double knee,
        double ua,
        double uv,
        int seed,
        double fixedWidth = 0
    )
    {
        var random = new Random(seed);
        var width = fixedWidth > 0 ? fixedWidth : 20 + (20 * random.NextDouble());
        var last = knee + (0.6 * open / (steep + level));
        return
        [
            .. Enumerable
                .Range(0, 18)
                .Select(i => last * i / 17)
                .Select(i => new VoltAmpPoint(
                    i + (ua * VoltAmpAnalysisTests.Gauss(random)),
                    True(open, level, steep, knee, width, i) + (uv * VoltAmpAnalysisTests.Gauss(random)),
                    ua,
                    uv
                )),
        ];
    }
}
