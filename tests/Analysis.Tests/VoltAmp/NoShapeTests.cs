using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class NoShapeTests
{
    // Silicon cell of 57 mm at 33 °C, 1 000 W/m², 26 points (Easwarakhanthan, Bottin, Bouhouch and Boutrit, Int. J. Solar Energy 4, 1986);
    // typed from memory, and held against the published fit of the same data below.
    private static readonly (double Volts, double Amperes)[] s_cell =
    [
        (-0.2057, 0.7640),
        (-0.1291, 0.7620),
        (-0.0588, 0.7605),
        (0.0057, 0.7605),
        (0.0646, 0.7600),
        (0.1185, 0.7590),
        (0.1678, 0.7570),
        (0.2132, 0.7570),
        (0.2545, 0.7555),
        (0.2924, 0.7540),
        (0.3269, 0.7505),
        (0.3585, 0.7465),
        (0.3873, 0.7385),
        (0.4137, 0.7280),
        (0.4373, 0.7065),
        (0.4590, 0.6755),
        (0.4784, 0.6320),
        (0.4960, 0.5730),
        (0.5119, 0.4990),
        (0.5265, 0.4130),
        (0.5398, 0.3165),
        (0.5521, 0.2120),
        (0.5633, 0.1035),
        (0.5736, -0.0100),
        (0.5833, -0.1230),
        (0.5900, -0.2100),
    ];

    // Published single-diode parameters of that cell: photocurrent A, saturation A, ideality, series and shunt resistance Ω; from memory.
    private const double Photo = 0.76078;
    private const double Saturation = 0.32302e-6;
    private const double Ideality = 1.48118;
    private const double Series = 0.036377;
    private const double Shunt = 53.7185;
    private static readonly double s_thermal = 1.380649e-23 * 306.15 / 1.602176634e-19;

    [Fact]
    public void The_typed_solar_cell_has_the_published_residual()
    {
        // Root mean square 9.8602e-4 A of the best single-diode fit, published many times; from memory.
        var squares = s_cell.Sum(p => Math.Pow(p.Amperes - Diode(p.Volts, p.Amperes), 2));

        Assert.Equal(9.8602e-4, Math.Sqrt(squares / s_cell.Length), 2e-7);
    }

    [Theory]
    [InlineData(false, false)]
    [InlineData(true, false)]
    [InlineData(false, true)]
    [InlineData(true, true)]
    public void No_reading_of_a_solar_cell_is_blamed_for_its_round_knee(bool exact, bool stated)
    {
        var readings = s_cell
            .Where(p => p.Volts >= 0 && p.Amperes >= 0)
            .Select(p => exact ? (p.Volts, Amperes: OnDiode(p.Volts)) : p);
        VoltAmpPoint[] points =
        [
            .. readings.Select(p =>
                stated ? new VoltAmpPoint(p.Amperes, p.Volts, 1e-3, 1e-4) : new VoltAmpPoint(p.Amperes, p.Volts)
            ),
        ];
        var curve = VoltAmpAnalysis.Fit(points, new VoltAmpOptions { VoltsDigit = 1e-4, AmperesDigit = 1e-4 });

        Assert.DoesNotContain(curve.Points, p => p.IsOutlier || p.IsSetAside);
        Assert.DoesNotContain(curve.Findings, f => f.Contains("Measure it again", StringComparison.Ordinal));
    }

    [Fact]
    public void Scatter_of_more_than_three_times_its_uncertainty_is_no_fit()
    {
        // A parabola 5 V deep and a wave on it; readings good to 10 mV. No shape here has a wave.
        VoltAmpPoint[] points =
        [
            .. Enumerable
                .Range(0, 11)
                .Select(k => 25.0 * k)
                .Select(i => new VoltAmpPoint(i, 60 - (0.15 * i) - Math.Sin(i / 20), 0.05, 0.01)),
        ];
        var line = LoadLine.CoveredElectrode;
        var curve = VoltAmpAnalysis.Fit(points, new VoltAmpOptions { LoadLines = [line] });

        Assert.True(curve.IsWithoutShape);
        Assert.Equal("no shape fits", curve.ModelName);
        var open = curve.OpenCircuitVoltage!;
        Assert.Equal((points[0].Volts, 0.01, false), (open.Value, open.StandardUncertainty, open.IsExtrapolated));
        Assert.StartsWith("as measured", open.Note, StringComparison.Ordinal);
        Assert.Null(curve.Result("slope"));
        Assert.Null(curve.ShortCircuitCurrent);
        Assert.Null(curve.Result("regulation"));

        // Between its two neighbours, and the true place within twice its uncertainty.
        var met = curve.OperatingPoint(line)!.Amperes;
        var truth = Met(i => 60 - (0.15 * i) - Math.Sin(i / 20) - line.Volts(i));
        Assert.InRange(met.Value, 200, 225);
        Assert.InRange(Math.Abs(met.Value - truth), 0, 2 * met.StandardUncertainty);
        Assert.DoesNotContain(curve.Points, p => p.IsOutlier || p.IsSetAside);
    }

    [Fact]
    public void The_measured_open_circuit_voltage_is_stated_in_place_of_the_fitted_one()
    {
        var points = VoltAmpAnalysisTests.Line(60, 0.05, 0, 100, 200, 300);
        var fitted = VoltAmpAnalysis.Fit(points).OpenCircuitVoltage!;
        var measured = VoltAmpAnalysis
            .Fit(points, new VoltAmpOptions { MeasuredOpenCircuit = new Analysis.Estimate(60.02, 0.01) })
            .OpenCircuitVoltage!;

        Assert.Equal("as fitted", fitted.Note);
        Assert.Equal((60.02, 0.01), (measured.Value, measured.StandardUncertainty!.Value));
        Assert.StartsWith("as measured", measured.Note, StringComparison.Ordinal);
    }

    private static double Met(Func<double, double> excess)
    {
        var (low, high) = (0.0, 400.0);
        for (var k = 0; k < 100; k++)
        {
            var middle = 0.5 * (low + high);
            (low, high) = excess(middle) > 0 ? (middle, high) : (low, middle);
        }

        return low;
    }

    private static double Diode(double volts, double amperes)
    {
        var across = volts + (amperes * Series);
        return Photo - (Saturation * (Math.Exp(across / (Ideality * s_thermal)) - 1)) - (across / Shunt);
    }

    private static double OnDiode(double volts)
    {
        var (low, high) = (-1.0, 1.0);
        for (var k = 0; k < 100; k++)
        {
            var middle = 0.5 * (low + high);
            (low, high) = Diode(volts, middle) > middle ? (middle, high) : (low, middle);
        }

        return low;
    }
}
