using LoadTest.Analysis;
using LoadTest.Analysis.Ac;
using LoadTest.Analysis.DcQuality;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.MachineAccuracy;
using LoadTest.Analysis.Quantities;
using LoadTest.Analysis.Shunts;

namespace LoadTest.AnalysisTests;

/// <summary>Facts of the trade that what is computed has to agree with. Common practice, no source: none is demo data.</summary>
public class CheckValuesOfTheTradeTests
{
    private static readonly Estimate s_none = new(0, 0);

    // Common practice, no source: a feedback shunt that gives 50 mV at 400 A.
    [Fact]
    public void Feedback_shunt_of_50_mV_at_400_A_reads_its_amperes()
    {
        var shunt = new ShuntRating(400, 50);
        Assert.Equal(400, shunt.AmperesFrom(50), 1e-12);
        Assert.Equal(100, shunt.AmperesFrom(12.5), 1e-12);
        Assert.Equal(31.25, shunt.MillivoltsAt(250), 1e-12);
        Assert.Equal(125e-6, shunt.Resistance.Value, 1e-18);
    }

    // Common practice, no source: a six-pulse bridge fed 65 V line to line reads 90 V ± 10 V DC.
    [Fact]
    public void Six_pulse_bridge_fed_65_V_reads_90_V_within_10_conducting_or_smoothed()
    {
        var line = new Estimate(65, 0);
        var diode = new Estimate(0.9, 0);
        Assert.InRange(Rectifier.SixPulse(line, diode, s_none, s_none).Value, 80, 100);
        Assert.InRange(Rectifier.SmoothedLightLoad(line, diode).Value, 80, 100);
        // The same voltage on one phase alone stays below: the value tells a bridge of three phases from one of two.
        Assert.True(Rectifier.TwoPulse(line, diode).Value < 80);
    }

    // Common practice, no source: 240 V line to line on the three-phase auxiliary output.
    [Fact]
    public void Auxiliary_output_of_240_V_on_three_lines_is_balanced_and_in_regulation()
    {
        Estimate[] lines = [new(240, 0.2), new(240, 0.2), new(240, 0.2)];
        Assert.Equal(0, Unbalance.LargestDeviation(lines[0], lines[1], lines[2]).Value, 1e-12);
        Assert.Equal(0, VoltageRegulation.LargestFromRated(lines, 240).Value, 1e-12);
        // One line at 240/√3 V, read to neutral by mistake, is seen as what it is: (240 − 138.6)·(2/3) of a mean of 206.2 V.
        var mistaken = Unbalance.LargestDeviation(lines[0], lines[1], new(240 / Math.Sqrt(3), 0.2));
        Assert.Equal(0.328, mistaken.Value, 1e-3);
    }

    // Common practice, no source: an exciter rotor of 25 Ω to 26 Ω, flashed from 12 V: about half an ampere.
    [Fact]
    public void Exciter_rotor_of_25_to_26_ohms_is_judged_and_takes_half_an_ampere_from_12_V()
    {
        var limit = ToleranceLimit.TwoSided(25, 26, "Ω");
        Assert.Equal(Verdict.Pass, At(25.5));
        Assert.Equal(Verdict.Fail, At(24));
        Assert.Equal(Verdict.Fail, At(40));
        foreach (var ohms in new[] { 25.0, 26.0 })
            Assert.InRange((new Volts(12) / new Ohms(ohms)).Value, 0.46, 0.48);

        Verdict At(double ohms) =>
            Conformity.Judge(new Estimate(ohms, 0.05), 2, limit, DecisionRule.SimpleAcceptance).Verdict;
    }

    // Common practice, no source: a control potentiometer of 10 kΩ with an even sweep.
    [Fact]
    public void Control_potentiometer_of_10_kilohms_sweeps_evenly_and_a_worn_one_does_not()
    {
        var sound = Sweep(mark => 1000 * mark);
        Assert.True(sound.IsMonotonic);
        Assert.Empty(sound.DeadSpots);
        Assert.Equal((0.0, 10_000.0), (sound.Lowest, sound.Highest));
        Assert.InRange(sound.NonlinearityPercent, 0, 1e-9);

        var worn = Sweep(mark => mark is > 5 and < 7 ? 5000 : 1000 * mark);
        Assert.NotEmpty(worn.DeadSpots);

        static ControlSweep Sweep(Func<double, double> ohms) =>
            ControlSweep.Of(
                [.. Enumerable.Range(0, 11).Select(m => new ControlPoint(m, new Estimate(ohms(m), 10), 1))],
                "Ω"
            );
    }
}
