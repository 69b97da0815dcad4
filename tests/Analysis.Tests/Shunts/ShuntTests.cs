using CsCheck;
using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Shunts;

public class ShuntTests
{
    [Theory]
    [InlineData(500, 50, 0.1, 100, 25)]
    [InlineData(500, 60, 0.12, 120, 30)]
    [InlineData(1000, 100, 0.1, 100, 100)]
    [InlineData(300, 50, 0.16666666666666666, 166.66666666666666, 15)]
    [InlineData(200, 50, 0.25, 250, 10)]
    [InlineData(600, 50, 0.083333333333333329, 83.333333333333329, 30)]
    [InlineData(800, 50, 0.0625, 62.5, 40)]
    [InlineData(1000, 50, 0.05, 50, 50)]
    [InlineData(100, 100, 1, 1000, 10)]
    [InlineData(500, 100, 0.2, 200, 50)]
    public void Rated_ratio_resistance_and_power_are_plain_arithmetic(
        double amperes,
        double millivolts,
        double ratio,
        double microOhms,
        double watts
    )
    {
        // Ohm's law; the usual pairs of rated current and drop (trade pages, read).
        var rating = new ShuntRating(amperes, millivolts);
        Assert.Equal(ratio, rating.RatedRatio, 12);
        Assert.Equal(microOhms, rating.Resistance.Value * 1e6, 9);
        Assert.Equal(watts, rating.PowerAt(amperes).Value, 9);
        Assert.Equal(amperes, rating.AmperesFrom(millivolts), 9);
    }

    private static readonly ReferenceShunt Reference = new()
    {
        Name = "SH-500",
        Rating = new(500, 60, 0.5),
        Certificate = [new(100, 0.0002, 0.0004), new(500, 0.0006, 0.0008)],
    };

    [Fact]
    public void Certificate_correction_is_interpolated_between_its_points()
    {
        // Half way between 100 A and 500 A at 300 A: c = +0.0004; I = 36 mV/0.12/1.0004 = 299.880 A.
        var found = Reference.CurrentFrom(36, []);
        Assert.Equal(300 / 1.0004, found.Amperes!.Value.Value, 9);
        // U half way between is 0.0006, u 0.0003; between points: half of 0.0004 at the middle, /√3.
        var u = 300 / 1.0004 * Math.Sqrt(0.0003 * 0.0003 + 0.0002 * 0.0002 / 3);
        Assert.Equal(u, found.Amperes.Value.StandardUncertainty, 9);
    }

    [Fact]
    public void Above_its_certificate_a_reference_shunt_gives_no_current()
    {
        var found = Reference.CurrentFrom(62, []);
        Assert.Null(found.Amperes);
        Assert.Contains("above the highest certified point", found.Findings[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Without_certificate_or_class_its_ratio_is_not_known()
    {
        Assert.Null((Reference with { Certificate = [], Rating = new(500, 60) }).CurrentFrom(30, []).Amperes);
        var byClass = (Reference with { Certificate = [] }).CurrentFrom(30, []);
        Assert.Equal(250 * 0.005 / Math.Sqrt(3), byClass.Amperes!.Value.StandardUncertainty, 9);
    }

    [Fact]
    public void Temperature_and_self_heating_move_the_current_the_right_way()
    {
        // A finished copper-terminal shunt: +100 ppm/K (measured values of +93 to +106 ppm/K read). 33 °C against 23 °C: ratio
        // +0.1 %, so the same drop is 0.1 % less current.
        var warm = Reference with
        {
            Certificate = [new(500, 0, 0.0004)],
            TemperatureCoefficient = 100e-6,
        };
        var found = warm.CurrentFrom(60, [], new ShuntConditions(33, 2));
        Assert.Equal(500 / 1.001, found.Amperes!.Value.Value, 9);
        // 30 W of its own heat, +20 ppm/W, certified cold and now warm: +600 ppm.
        var cold = Reference with
        {
            Certificate = [new(500, 0, 0.0004)],
            IsCertifiedCold = true,
            PowerCoefficient = 20e-6,
        };
        Assert.Equal(500 / 1.0006, cold.CurrentFrom(60, []).Amperes!.Value.Value, 9);
    }

    private static ShuntSweep Sweep(double gain, double curvature = 0, double hysteresis = 0, double noise = 0.002)
    {
        var rating = new ShuntRating(500, 50, 0.5);
        var random = new Random(3);
        var points = new List<ShuntPoint>();
        double[] amperes = [125, 250, 375, 500, 500, 375, 250, 125];
        for (var i = 0; i < amperes.Length; i++)
        {
            var z = amperes[i] / 500;
            var direction = i < 4 ? 1 : -1;
            var mv =
                0.010
                + 50 * (z * (1 + gain) + curvature * z * z + (direction < 0 ? hysteresis : 0))
                + noise * (random.NextDouble() - 0.5);
            points.Add(new(amperes[i], mv, Direction: direction, Seconds: 60 * (i + 1)));
        }
        return new()
        {
            Rating = rating,
            Points = points,
            ZeroBefore = new(0.010, 0),
            ZeroAfter = new(0.010, 600),
            Common = [UncertaintyInput.FromExpanded("reference shunt certificate", 0, 0.0004, 2)],
            Limit = ToleranceLimit.PlusMinus(0.1, 0.001, "mV/A"),
        };
    }

    [Fact]
    public void A_shunt_two_percent_low_is_found_within_its_uncertainty_and_fails()
    {
        var found = Sweep(-0.02).Analyse();
        Assert.InRange(
            found.GainErrorPercent.Value,
            -2 - 2 * found.GainErrorPercent.StandardUncertainty,
            -2 + 2 * found.GainErrorPercent.StandardUncertainty
        );
        Assert.InRange(found.GainErrorPercent.StandardUncertainty, 0.019, 0.025);
        // 1/0.98 − 1 = 2.0408 %: a shunt that reads low makes the machine deliver more.
        Assert.Equal(2.04, found.DeliveredErrorPercent!.Value.Value, 1);
        Assert.Equal(Verdict.Fail, found.Judgement!.Verdict);
        Assert.Contains(found.Findings, f => f.Contains("2.00 % low", StringComparison.Ordinal));
        Assert.Null(found.WithinClass);
    }

    [Fact]
    public void A_good_shunt_passes_and_keeps_its_class()
    {
        var found = Sweep(0.0005).Analyse();
        Assert.Equal(Verdict.Pass, found.Judgement!.Verdict);
        Assert.Equal(0.1, found.WithinClass);
        Assert.Equal(0, found.Offset.Value, 2);
        Assert.False(found.Curvature!.Value.IsSignificant);
    }

    [Fact]
    public void The_zero_readings_are_taken_off_the_drop()
    {
        var without = (Sweep(0) with { ZeroBefore = null, ZeroAfter = null }).Analyse();
        Assert.Equal(0.010, without.Offset.Value, 3);
        Assert.Contains(without.Findings, f => f.StartsWith("No zero reading", StringComparison.Ordinal));
    }

    [Fact]
    public void A_drifting_zero_widens_the_budget()
    {
        var steady = Sweep(0).Analyse();
        var drifting = (Sweep(0) with { ZeroAfter = new(0.030, 600) }).Analyse();
        Assert.Equal(0.020, drifting.ZeroDriftMillivolts!.Value, 12);
        Assert.True(drifting.Ratio.StandardUncertainty > steady.Ratio.StandardUncertainty);
        Assert.Contains(drifting.Budget.Lines, l => l.Input.Name.StartsWith("zero drift", StringComparison.Ordinal));
    }

    [Fact]
    public void A_thermal_EMF_of_ten_microvolts_is_a_fiftieth_of_a_percent_at_rated_drop_and_five_times_that_at_a_fifth()
    {
        // 1 µV/K of a copper–manganin joint over 10 K (READ): 10 µV of 50 mV.
        var found = (
            Sweep(0, noise: 0) with
            {
                ZeroBefore = new(0.010, 0),
                ZeroAfter = new(0.020, 600),
                Common = [],
            }
        ).Analyse();
        Assert.Equal(0.010, found.ZeroDriftMillivolts!.Value, 12);
        var u = 0.005 / Math.Sqrt(3);
        var low = found.Points[0];
        var high = found.Points[3];
        var scatter = found.Points.Sum(p => p.ResidualMillivolts * p.ResidualMillivolts) / 6;
        Assert.Equal(
            Math.Sqrt(u * u + scatter) / low.CorrectedMillivolts * 100 * found.Budget.CoverageFactor,
            low.ExpandedPercent,
            1e-9
        );
        Assert.Equal(4, low.ExpandedPercent / high.ExpandedPercent, 1e-2);
    }

    [Fact]
    public void Scatter_of_the_zero_readings_widens_every_point()
    {
        var clean = Sweep(0).Analyse();
        var noisy = (Sweep(0) with { ZeroBefore = new(0.010, 0, 0.005) }).Analyse();
        Assert.All(
            noisy.Points.Zip(clean.Points),
            p => Assert.True(p.First.ExpandedPercent > p.Second.ExpandedPercent)
        );
    }

    [Fact]
    public void A_warm_shunt_is_brought_to_the_temperature_it_is_rated_at()
    {
        // +100 ppm/K (READ: +93 to +106 on finished shunts), 40 K above 23 °C: 0.4 % more drop, taken off again.
        var temperature = new ShuntTemperature(63, 3, 100e-6, 20e-6);
        var warm = (Sweep(0.004, noise: 0) with { Temperature = temperature, Common = [] }).Analyse();
        Assert.Equal(0.1, warm.Ratio.Value, 1e-12);
        Assert.Equal(0, warm.GainErrorPercent.Value, 1e-9);
        // 3 K at 100 ppm/K and 40 K at 20 ppm/K, both rectangles.
        var u = 0.1 * Math.Sqrt((300e-6 * 300e-6 + 800e-6 * 800e-6) / 3);
        Assert.Equal(u, warm.Ratio.StandardUncertainty, 1e-9);
        Assert.Contains(warm.Findings, f => f.Contains("63 °C to 23 °C", StringComparison.Ordinal));
        Assert.Throws<ArgumentException>(() =>
            (Sweep(0) with { Temperature = temperature with { Coefficient = 100 } }).Analyse()
        );
    }

    [Fact]
    public void A_set_current_a_hair_below_the_lowest_certified_point_belongs_to_it()
    {
        var shunt = Reference with { Certificate = [new(300, 0.0002, 0.0004), new(500, 0.0006, 0.0008)] };
        Assert.Empty(shunt.CurrentFrom(299.9 * 0.12, []).Findings);
        Assert.Contains("below the lowest", shunt.CurrentFrom(290 * 0.12, []).Findings[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Curvature_and_hysteresis_are_seen_where_they_are()
    {
        var curved = Sweep(0, curvature: 0.002).Analyse();
        Assert.True(curved.Curvature!.Value.IsSignificant);
        // c z² over 0.25…1 of rated: sag = −c (0.375)² = −0.028 % of rated.
        Assert.Equal(-0.2 * 0.375 * 0.375, curved.Curvature.Value.SagPercent.Value, 2);
        var lagging = Sweep(0, hysteresis: 0.001).Analyse();
        Assert.True(lagging.Hysteresis!.Value.IsSignificant);
        Assert.Equal(0.1, lagging.Hysteresis.Value.DifferencePercent!.Value.Value, 2);
        Assert.Equal(4, lagging.Hysteresis.Value.Pairs);
    }

    [Fact]
    public void Too_few_points_equal_currents_and_missing_readings_are_refused()
    {
        var sweep = Sweep(0);
        Assert.Throws<ArgumentException>(() => (sweep with { Points = [.. sweep.Points.Take(2)] }).Analyse());
        var same = sweep.Points.Select(p => p with { ReferenceAmperes = 200 });
        Assert.Throws<ArgumentException>(() => (sweep with { Points = [.. same] }).Analyse());
        var missing = sweep.Points.Select(p => p with { UnitMillivolts = double.NaN });
        Assert.Throws<ArgumentException>(() => (sweep with { Points = [.. missing] }).Analyse());
        var none = sweep.Points.Select(p => p with { ReferenceAmperes = 0.5 });
        Assert.Throws<ArgumentException>(() => (sweep with { Points = [.. none] }).Analyse());
    }

    [Fact]
    public void Swapped_sense_wires_are_said_and_no_delivered_error_is_made_up()
    {
        var sweep = Sweep(0);
        var swapped = sweep with
        {
            Points = [.. sweep.Points.Select(p => p with { UnitMillivolts = -p.UnitMillivolts })],
        };
        var found = swapped.Analyse();
        Assert.Null(found.DeliveredErrorPercent);
        Assert.Contains(found.Findings, f => f.Contains("swapped", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(200, 200, 200.3, Suspect.None)]
    [InlineData(200, 200, 204, Suspect.ShuntOrItsWiring)]
    [InlineData(200, 206, 206, Suspect.ControlOrRemote)]
    [InlineData(200, 195, 200, Suspect.PanelMeter)]
    [InlineData(200, 195, 206, Suspect.MoreThanOne)]
    [InlineData(200, 200, 202, Suspect.CannotSay)]
    public void The_part_that_disagrees_with_the_other_two_is_the_wrong_one(
        double set,
        double indicated,
        double actual,
        Suspect suspect
    )
    {
        // House rule from how the loop is closed: control and panel meter read the machine's own shunt.
        var found = SetIndicatedActual.Compare(
            new Estimate(set, 0.2),
            new Estimate(indicated, 0.3),
            new Estimate(actual, 0.2),
            tolerance: 2
        );
        Assert.Equal(suspect, found.Suspect);
    }

    [Fact]
    public void Wide_uncertainties_cannot_say_which_part_is_wrong()
    {
        var found = SetIndicatedActual.Compare(new(200, 5), new(200, 5), new(204, 5), tolerance: 2);
        Assert.Equal(Suspect.CannotSay, found.Suspect);
    }

    [Fact]
    public void The_ratio_does_not_depend_on_the_order_of_the_points_or_the_unit_of_time()
    {
        Gen.Select(Gen.Double[-0.02, 0.02], Gen.Double[-0.002, 0.002], Gen.OneOf(0.5, 64.0))
            .Sample(
                (gain, curvature, clock) =>
                {
                    var a = Sweep(gain, curvature);
                    var b = a with
                    {
                        Points = [.. a.Points.Reverse().Select(p => p with { Seconds = p.Seconds * clock })],
                        ZeroAfter = new(0.010, 600 * clock),
                    };
                    var (x, y) = (a.Analyse().Ratio, b.Analyse().Ratio);
                    return Math.Abs(x.Value / y.Value - 1) < 1e-13
                        && Math.Abs(x.StandardUncertainty / y.StandardUncertainty - 1) < 1e-9;
                },
                iter: 500
            );
    }
}
