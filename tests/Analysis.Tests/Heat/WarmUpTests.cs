using CsCheck;
using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Heat;
using LoadTest.AnalysisTests.Ac;

namespace LoadTest.AnalysisTests.Heat;

/// <summary>One-body heating, textbooks of electrical machines; Newton's law of cooling.</summary>
public sealed class WarmUpTests
{
    [Fact]
    public void A_clean_warm_up_gives_its_end_back()
    {
        // Stopped after one and a half time constants.
        var (seconds, celsius) = Heating(20, 60, 1200, 1800, 60);

        var curve = Found(seconds, celsius);

        Assert.Equal(20, curve.Start.Value, 1e-7);
        Assert.Equal(60, curve.Rise.Value, 1e-6);
        Assert.Equal(1200, curve.TimeConstantSeconds.Value, 1e-4);
        Assert.Equal(80, curve.Final.Value, 1e-6);
        Assert.Equal(1 - Math.Exp(-1.5), curve.PartDone, 1e-9);
    }

    [Fact]
    public void Three_even_readings_agree_with_the_closed_form()
    {
        // Three evenly spaced temperatures on one curve end at (T₂² − T₁T₃)/(2T₂ − T₁ − T₃): algebra of the exponential.
        var (seconds, celsius) = Heating(25, 48, 900, 1500, 250);
        var (first, second, third) = (celsius[0], celsius[3], celsius[6]);

        var end = (second * second - first * third) / (2 * second - first - third);

        Assert.Equal(end, Found(seconds, celsius).Final.Value, 1e-6);
    }

    [Fact]
    public void Uncertainty_covers_the_end_as_often_as_it_should()
    {
        var covered = 0;
        for (var seed = 0; seed < 400; seed++)
        {
            var (seconds, celsius) = Heating(20, 60, 1200, 2400, 30);
            var curve = Found(seconds, celsius.Plus(Waves.Noise(celsius.Length, 0.3, seed)));
            covered += Math.Abs(curve.Final.Value - 80) <= 1.99 * curve.Final.StandardUncertainty ? 1 : 0;
        }

        // 95 % of 400, give or take four standard deviations of a count.
        Assert.InRange(covered, 380 - 18, 398);
    }

    [Fact]
    public void A_cooling_is_a_warm_up_with_the_sign_turned()
    {
        var (seconds, celsius) = Heating(90, -60, 600, 1500, 30);

        Assert.Equal(30, Found(seconds, celsius).Final.Value, 1e-6);
    }

    [Fact]
    public void The_first_minutes_name_no_end()
    {
        var (seconds, celsius) = Heating(20, 60, 3600, 300, 10);

        var unknown = WarmUp.Of(seconds, celsius.Plus(Waves.Noise(celsius.Length, 0.2, 4)));

        Assert.Contains("longer", Assert.IsType<WarmUpUnknown>(unknown).Reason);
    }

    [Fact]
    public void Nothing_warming_names_no_end() =>
        Assert.IsType<WarmUpUnknown>(WarmUp.Of([0, 1, 2, 3, 4, 5], [20, 20, 20, 20, 20, 20]));

    [Fact]
    public void Unit_and_origin_of_time_and_temperature_do_not_matter() =>
        Gen.Select(Gen.Double[300, 3000], Gen.Double[10, 90], Gen.Double[-1000, 1000], Gen.Double[-200, 300])
            .Sample(
                (tau, rise, later, warmer) =>
                {
                    var (seconds, celsius) = Heating(20, rise, tau, 2 * tau, tau / 20);
                    var noisy = celsius.Plus(Waves.Noise(celsius.Length, 0.01 * rise, 8));
                    var one = Found(seconds, noisy);
                    var other = Found([.. seconds.Select(t => 60 * t + later)], [.. noisy.Select(v => v + warmer)]);

                    Assert.Equal(1, other.Rise.Value / one.Rise.Value, 1e-6);
                    Assert.Equal(60, other.TimeConstantSeconds.Value / one.TimeConstantSeconds.Value, 1e-4);
                    Assert.Equal(warmer, other.Final.Value - one.Final.Value, 1e-4);
                },
                iter: 200
            );

    [Fact]
    public void A_slow_rise_is_equilibrium_and_a_fast_one_is_not()
    {
        // 2 K/h over 60 min: IEC 60974-1, from memory.
        Assert.Equal(Verdict.Pass, Judge(0.5, 0.05).Verdict);
        Assert.Equal(0.5, Judge(0.5, 0).KelvinPerHour!.Value.Value, 1e-9);
        Assert.Equal(Verdict.Fail, Judge(3, 0.05).Verdict);
        Assert.Equal(Verdict.Fail, Judge(-3, 0.05).Verdict);
        Assert.Equal(Verdict.Undecided, Judge(2, 0.5).Verdict);
    }

    [Fact]
    public void Less_than_an_hour_cannot_be_equilibrium()
    {
        double[] seconds = [.. Enumerable.Range(0, 59).Select(k => k * 60.0)];

        var finding = ThermalEquilibrium.Of(seconds, new double[59], 2, ThermalEquilibrium.UsualWindow);

        Assert.Equal(Verdict.Undecided, finding.Verdict);
        Assert.Null(finding.KelvinPerHour);
    }

    [Fact]
    public void Sixty_minutes_are_covered_by_readings_that_do_not_fall_on_them()
    {
        // Taken every 65 s: the last 55 intervals span 59.58 min, 56 span 60.67 min, and those are judged and printed.
        double[] seconds = [.. Enumerable.Range(0, 120).Select(k => k * 65.0)];

        var finding = ThermalEquilibrium.Of(seconds, new double[120], 2, ThermalEquilibrium.UsualWindow);

        Assert.Equal(56 * 65, finding.WindowSeconds);
        Assert.Contains("over 60.66 min", finding.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Less_than_the_window_decides_nothing_and_is_never_rounded_up_to_it()
    {
        // 3 599.5 s are 59.99 min.
        double[] seconds = [.. Enumerable.Range(0, 60).Select(k => k * 3599.5 / 59)];

        var finding = ThermalEquilibrium.Of(seconds, new double[60], 2, ThermalEquilibrium.UsualWindow);

        Assert.Equal(Verdict.Undecided, finding.Verdict);
        Assert.StartsWith("59.99 min", finding.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void The_shortest_span_of_at_least_the_window_is_enough()
    {
        double[] seconds = [.. Enumerable.Range(0, 61).Select(k => k * 60.0)];

        var finding = ThermalEquilibrium.Of(seconds, new double[61], 2, ThermalEquilibrium.UsualWindow);

        Assert.Equal((Verdict.Pass, 3600.0), (finding.Verdict, finding.WindowSeconds));
    }

    [Fact]
    public void A_thermometer_stands_beside_the_fit_in_the_final_temperature()
    {
        // Quadratic sum (JCGM 100:2008, 5.1.2): 0.4 K of the thermometer beside what the scatter gives.
        var (seconds, celsius) = Heating(20, 60, 1200, 3600, 60);
        var found = Found(seconds, celsius.Plus(Waves.Noise(61, 0.05, 3)));

        var final = found.FinalBy(0.4);

        Assert.Equal(Math.Sqrt(Square(found.Final.StandardUncertainty) + 0.16), final.StandardUncertainty, 1e-12);
        Assert.Equal(found.Final.Value, final.Value);
    }

    [Fact]
    public void Only_the_last_hour_counts()
    {
        double[] seconds = [.. Enumerable.Range(0, 121).Select(k => k * 60.0)];
        double[] celsius = [.. seconds.Select(t => t < 3600 ? t / 60 : 60)];

        Assert.Equal(Verdict.Pass, ThermalEquilibrium.Of(seconds, celsius, 2, ThermalEquilibrium.UsualWindow).Verdict);
    }

    [Fact]
    public void Cooling_takes_as_long_as_newton_says()
    {
        // 600 s · ln(60/20) = 659.17 s.
        var wait = Cooling.Wait(new Estimate(80, 1), new Estimate(20, 0), new Estimate(600, 30), 40);

        Assert.Equal(659.17, wait.Value, 5e-3);
        Assert.Equal(Math.Sqrt(Square(Math.Log(3) * 30) + Square(600 / 60.0)), wait.StandardUncertainty, 1e-9);
        Assert.Equal(0, Cooling.Wait(new Estimate(39, 1), new Estimate(20, 0), new Estimate(600, 30), 40).Value);
        Assert.Throws<ArgumentException>(() =>
            Cooling.Wait(new Estimate(80, 1), new Estimate(45, 0), new Estimate(600, 30), 40)
        );
    }

    private static ThermalEquilibrium Judge(double perHour, double noise)
    {
        double[] seconds = [.. Enumerable.Range(0, 91).Select(k => k * 60.0)];
        double[] celsius = [.. seconds.Select(t => 70 + perHour * t / 3600)];
        return ThermalEquilibrium.Of(
            seconds,
            celsius.Plus(Waves.Noise(91, noise, 3)),
            ThermalEquilibrium.UsualKelvinPerHour,
            ThermalEquilibrium.UsualWindow
        );
    }

    private static WarmUp Found(double[] seconds, double[] celsius) =>
        Assert.IsType<WarmUpFound>(WarmUp.Of(seconds, celsius)).Curve;

    private static (double[] Seconds, double[] Celsius) Heating(
        double start,
        double rise,
        double tau,
        double until,
        double every
    )
    {
        double[] seconds = [.. Enumerable.Range(0, (int)Math.Floor(until / every + 1e-9) + 1).Select(k => k * every)];
        return (seconds, [.. seconds.Select(t => start + rise * (1 - Math.Exp(-t / tau)))]);
    }

    private static double Square(double value) => value * value;
}
