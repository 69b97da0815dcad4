using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Loads;

public sealed class LoadElementTests
{
    [Fact]
    public void The_first_rating_to_bind_gives_the_continuous_volts()
    {
        var element = new LoadElement("A", new Ohms(1.6)) { RatedVolts = new Volts(100) };

        Assert.Equal(100, element.ContinuousVolts.Value);
        // √(4000 W · 1.6 Ω) = 80 V; 40 A · 1.6 Ω = 64 V (Ohm and Joule).
        Assert.Equal(80, (element with { RatedWatts = new Watts(4000) }).ContinuousVolts.Value, 12);
        Assert.Equal(64, (element with { RatedAmperes = new Amperes(40) }).ContinuousVolts.Value, 12);
    }

    [Fact]
    public void Tolerance_is_a_rectangle()
    {
        // JCGM 100:2008, 4.3.7: u = a/√3.
        var known = (new LoadElement("A", new Ohms(1.6)) { Tolerance = 0.05 }).ResistanceEstimate;

        Assert.Equal(0.08 / Math.Sqrt(3), known.StandardUncertainty, 15);
    }

    [Fact]
    public void Two_like_elements_halve_the_resistance_and_average_the_error()
    {
        var element = new LoadElement("A", new Ohms(1))
        {
            RatedVolts = new Volts(10),
            Measured = new Estimate(1, 0.01, 8),
        };
        var both = new LoadBank([element, element with { Id = "B" }]).ResistanceEstimateOf(new ElementSet(3))!.Value;

        Assert.Equal(0.5, both.Value, 15);
        Assert.Equal(0.01 / 4 * Math.Sqrt(2), both.StandardUncertainty, 15);
        // Welch–Satterthwaite of two equal parts doubles the degrees of freedom (JCGM 100:2008, G.4.1).
        Assert.Equal(16, both.DegreesOfFreedom, 10);
    }

    [Fact]
    public void Warming_moves_resistance_by_its_coefficient()
    {
        var warm = (
            new LoadElement("A", new Ohms(0.1)) { TemperatureCoefficientPerKelvin = 0.0004, Tolerance = 0.01 }
        ).Warmed(250);

        Assert.Equal(0.11, warm.Resistance.Value, 12);
        Assert.Equal(0.01 / Math.Sqrt(3), warm.ResistanceEstimate.Relative, 12);
    }

    [Fact]
    public void A_bank_refuses_elements_it_cannot_answer_for()
    {
        var fine = new LoadElement("A", new Ohms(1)) { RatedVolts = new Volts(10) };

        Assert.Contains("has no DC rating", Refusal(fine with { RatedVolts = null }));
        Assert.Contains("occurs twice", Refusal(fine, fine));
        Assert.Contains("above zero", Refusal(fine with { Nominal = new Ohms(0) }));
        Assert.Contains("above zero", Refusal(fine with { RatedWatts = new Watts(double.NaN) }));
        Assert.Contains("1 to 32", Refusal());
    }

    private static string Refusal(params LoadElement[] elements) =>
        Assert.Throws<ArgumentException>(() => new LoadBank(elements)).Message;
}
