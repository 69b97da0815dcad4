using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Loads;

/// <summary>Conductance by Ohm's law; the choice of suspects is common practice, no source.</summary>
public sealed class ElementHealthTests
{
    private static readonly LoadBank Bank = new([Known("A", 0.4), Known("B", 0.4), Known("C", 0.8), Known("D", 2)]);

    [Fact]
    public void Commanded_elements_that_conduct_are_as_commanded()
    {
        var finding = Judge(ElementSet.Of(0, 2), 30, 112.5);

        Assert.Equal(ElementHealthState.AsCommanded, finding.State);
        Assert.Equal(3.75, finding.Measured!.Value.Value, 12);
        // (u(G)/G)² = 0.001² + 0.001² (JCGM 100:2008, 5.1.6).
        Assert.Equal(3.75 * 0.001 * Math.Sqrt(2), finding.Measured!.Value.StandardUncertainty, 12);
    }

    [Fact]
    public void An_open_element_shows_though_the_source_holds_its_current()
    {
        // A + C make 3.75 S; the source holds 150 A, and with A open the volts rise from 40 V to 120 V: 1.25 S.
        var finding = Judge(ElementSet.Of(0, 2), 120, 150);

        Assert.Equal(ElementHealthState.NotAsCommanded, finding.State);
        Assert.Equal(new ElementSuspect(0, "A", StandsClosed: false), Assert.Single(finding.Suspects));
    }

    [Fact]
    public void A_welded_element_is_told_by_the_excess()
    {
        // 3.75 S commanded, 4.25 S found: D, 0.5 S.
        var finding = Judge(ElementSet.Of(0, 2), 20, 85);

        Assert.Equal(new ElementSuspect(3, "D", StandsClosed: true), Assert.Single(finding.Suspects));
    }

    [Fact]
    public void Alike_elements_are_all_named()
    {
        var finding = Judge(ElementSet.Of(0, 1, 2), 20, 75);

        Assert.Equal("A, B", string.Join(", ", finding.Suspects.Select(s => s.Id)));
        Assert.Contains("Switch them one by one", finding.Words);
    }

    [Fact]
    public void What_no_single_element_explains_is_said()
    {
        Assert.Equal(ElementHealthState.Unexplained, Judge(ElementSet.Of(0, 2), 20, 70).State);
    }

    [Fact]
    public void A_dead_bank_cannot_be_judged()
    {
        var finding = ElementHealth.Judge(Bank, ElementSet.Of(0), new Estimate(0.01, 0.01), new Estimate(0, 0.1));

        Assert.Equal(ElementHealthState.CannotSay, finding.State);
        Assert.Null(finding.Measured);
    }

    [Fact]
    public void A_reading_that_is_no_number_is_refused() =>
        Assert.Throws<ArgumentException>(() => Judge(ElementSet.Of(0), 30, double.NaN));

    private static ElementHealthFinding Judge(ElementSet set, double volts, double amperes) =>
        ElementHealth.Judge(
            Bank,
            set,
            new Estimate(volts, volts * 0.001),
            new Estimate(amperes, Math.Abs(amperes) * 0.001)
        );

    private static LoadElement Known(string id, double ohms) =>
        new(id, new Ohms(ohms)) { RatedVolts = new Volts(150), Measured = new Estimate(ohms, ohms * 0.002) };
}
