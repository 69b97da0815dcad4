using CsCheck;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class OperatingPointTests
{
    private const string Seed = "0000KMvBpnk3";

    [Fact]
    public void A_level_line_above_open_circuit_is_never_met_however_the_curve_rises()
    {
        // 30 V + 5 mV/A, as a source compounded for long leads has: 44 V would be met at 2 800 A, which no reading bears out.
        var rising = VoltAmpAnalysis.Fit(Points(i => 30 + 0.005 * i, 0, 50, 100, 150, 200, 250, 300));
        Assert.Equal(VoltAmpModel.StraightLine, rising.Model);
        Assert.Null(rising.OperatingPoint(LoadLine.Given("level", 44, 0)));

        // The same line where it was measured is met: 31 V at 200 A.
        var met = rising.OperatingPoint(LoadLine.Given("level", 31, 0))!;
        Assert.Equal(200, met.Amperes.Value, 1e-6);
        Assert.False(met.IsExtrapolated);
    }

    [Fact]
    public void A_meeting_above_every_volt_the_source_can_give_is_none_and_said_so() =>
        // Sources of every kind: falling and rising lines, knees, ellipses, curves of no formula.
        Gen.Select(Gen.Int[0, 3], Gen.Double[30, 80], Gen.Double[50, 400], Gen.Double[1.1, 1.6], Gen.Int[1, 1_000_000])
            .Sample(
                (kind, open, most, above, seed) =>
                {
                    var points = Source(kind, open, most, new Random(seed));
                    var line = LoadLine.Given("too high", above * points.Max(p => p.Volts), 0);
                    var curve = VoltAmpAnalysis.Fit(points, new VoltAmpOptions { LoadLines = [line] });
                    if (curve.OpenCircuitVoltage is { } none && none.Value > line.Intercept)
                    {
                        return;
                    }

                    Assert.Null(curve.OperatingPoint(line));
                    Assert.Contains(
                        curve.Findings,
                        f =>
                            f.Contains("does not meet", StringComparison.Ordinal)
                            && f.Contains("too high", StringComparison.Ordinal)
                    );
                },
                seed: Seed,
                iter: 400,
                threads: 1
            );

    [Fact]
    public void An_interpolation_is_not_drawn_on_past_a_steep_end()
    {
        // Level to 200 A, then 36 V in 0.6 A: half an ampere on, within 1 % of the amperes, would be no volts at all. Nobody measured that.
        var steep = VoltAmpAnalysis.Fit(
            [new(0, 56), new(100, 56.01), new(150, 56), new(200, 56), new(200.6, 20)],
            new VoltAmpOptions { Model = VoltAmpModel.Interpolation }
        );
        Assert.Null(steep.ShortCircuitCurrent);
        Assert.Equal(56, steep.OpenCircuitVoltage!.Value, 1e-9);
    }

    private static VoltAmpPoint[] Source(int kind, double open, double most, Random random)
    {
        var points = new VoltAmpPoint[9];
        for (var k = 0; k < points.Length; k++)
        {
            var part = k / 8.0;
            var (amperes, volts) = kind switch
            {
                0 => (part, 1 - (0.6 * part)),
                1 => (part, 1 + (0.05 * part)),
                2 => part < 0.6 ? (part, 1 - (0.1 * part)) : (0.6 + (0.01 * part), 1.5 - (1.4 * part)),
                _ => (Math.Sin(1.5 * part), Math.Cos(1.5 * part)),
            };
            points[k] = new VoltAmpPoint(
                most * (amperes + (1e-3 * random.NextDouble())),
                open * (volts + (1e-3 * random.NextDouble())),
                5e-4 * most,
                5e-4 * open
            );
        }

        return points;
    }

    private static VoltAmpPoint[] Points(Func<double, double> volts, params double[] amperes) =>
        Array.ConvertAll(amperes, i => new VoltAmpPoint(i, volts(i), 0.1, 0.01));
}
