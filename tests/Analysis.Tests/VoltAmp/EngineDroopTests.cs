using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class EngineDroopTests
{
    // Speed falls by 3 % at 10 kW of output, so V = 72.6 (1 − 0.03 V I/10 000) − 0.118 I, solved for V: arithmetic.
    private const double Open = 72.6;
    private const double Ohms = 0.118;
    private const double PerWatt = 0.03 / 10_000;

    [Fact]
    public void A_ceiling_that_sinks_with_shaft_power_is_fitted_to_the_last_digit()
    {
        VoltAmpPoint[] points =
        [
            .. new[] { 0.0, 60, 120, 180, 240, 300 }.Select(i => new VoltAmpPoint(i, Volts(i), 0.03, 0.005)),
        ];
        var curve = VoltAmpAnalysis.Fit(points);

        Assert.Equal(VoltAmpModel.DroopedLine, curve.Model);
        Assert.Equal(Open, curve.Parameters[0].Value, 1e-6);
        Assert.Equal(Ohms, curve.Parameters[1].Value, 1e-8);
        Assert.Equal(Open * PerWatt, curve.Parameters[2].Value, 1e-9);
        Assert.Equal("line with engine droop", curve.ModelName);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_current_limit_below_a_sinking_ceiling_is_fitted_to_the_last_digit(bool upright)
    {
        // Beyond 250 A: 0.02 A more for each volt less, or 3 V less for each ampere more.
        var knee = Volts(250);
        var beyond = upright
            ? new[] { 30.0, 20, 10 }.Select(v => (250 + (0.02 * (knee - v)), v))
            : new[] { 253.0, 256, 259 }.Select(i => (i, knee - (3 * (i - 250))));
        VoltAmpPoint[] points =
        [
            .. new[] { 0.0, 25, 70, 120, 180, 235 }
                .Select(i => (i, Volts(i)))
                .Concat(beyond)
                .Select(p => new VoltAmpPoint(p.Item1, p.Item2, 0.03, 0.005)),
        ];
        var curve = VoltAmpAnalysis.Fit(points);

        Assert.Equal(VoltAmpModel.DroopedKnee, curve.Model);
        Assert.Equal(Open, curve.OpenCircuitVoltage!.Value, 1e-6);
        Assert.Equal(250, curve.Result("knee current")!.Value, 1e-5);
        Assert.Equal(knee, curve.Result("knee voltage")!.Value, 1e-5);
        Assert.Equal(Ohms, curve.Parameters[1].Value, 1e-8);
        if (upright)
        {
            Assert.Equal(-0.02, curve.Result("current change per volt beyond the knee")!.Value, 1e-7);
        }
        else
        {
            Assert.Equal(-300, curve.Result("slope beyond the knee")!.Value, 1e-4);
        }
    }

    [Fact]
    public void Open_circuit_voltage_of_a_sinking_ceiling_covers_at_its_stated_rate()
    {
        // 2 000 sets with stated uncertainties; 95 % within 4 binomial standard deviations (2 %), and the curvature's.
        var random = new Random(20_261_201);
        var inside = 0;
        for (var k = 0; k < 2000; k++)
        {
            VoltAmpPoint[] points =
            [
                .. new[] { 0.0, 25, 70, 120, 180, 235 }
                    .Select(i => (Amperes: i, Volts: Volts(i)))
                    .Concat(new[] { 30.0, 20, 10 }.Select(v => (250 + (0.02 * (Volts(250) - v)), v)))
                    .Select(p => new VoltAmpPoint(
                        p.Item1 + (0.03 * VoltAmpAnalysisTests.Gauss(random)),
                        p.Item2 + (0.005 * VoltAmpAnalysisTests.Gauss(random)),
                        0.03,
                        0.005
                    )),
            ];
            var curve = VoltAmpAnalysis.Fit(
                points,
                new VoltAmpOptions { Model = VoltAmpModel.DroopedKnee, SetOutliersAside = false }
            );
            var open = curve.OpenCircuitVoltage!;
            inside += Math.Abs(open.Value - Open) <= 1.96 * open.StandardUncertainty ? 1 : 0;
        }

        Assert.InRange(inside / 2000.0, 0.93, 0.97);
    }

    private static double Volts(double amperes) => (Open - (Ohms * amperes)) / (1 + (Open * PerWatt * amperes));
}
