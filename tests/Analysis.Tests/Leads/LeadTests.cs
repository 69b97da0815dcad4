using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Leads;
using LoadTest.Analysis.Quantities;
using LoadTest.AnalysisTests.Ac;

namespace LoadTest.AnalysisTests.Leads;

/// <summary>Ohm's law and JCGM 100:2008, 5.2.2; copper by IEC 60028, from memory.</summary>
public sealed class LeadTests
{
    private static readonly double[] Seconds = [.. Enumerable.Range(0, 30).Select(k => k * 60.0)];

    [Fact]
    public void Drop_over_current_is_the_leads_resistance()
    {
        var ohms = LeadResistance.Of(new(32, 0.02), new(31.4, 0.02), new(300, 0.3));

        Assert.Equal(0.002, ohms.Value, 1e-12);
        Assert.Equal(Math.Sqrt(2 * 0.02 * 0.02 / 9e4 + 4e-6 * 0.09 / 9e4), ohms.StandardUncertainty, 1e-12);
        Assert.Equal(180, LeadResistance.Heat(ohms, new Amperes(300)).Value, 1e-9);
    }

    [Fact]
    public void One_meter_moved_between_the_points_cancels_its_error()
    {
        var ohms = LeadResistance.Of(new(32, 0.02), new(31.4, 0.02), new(300, 0), correlation: 1);

        Assert.Equal(0, ohms.StandardUncertainty, 1e-12);
    }

    [Fact]
    public void No_current_no_resistance() =>
        Assert.Throws<ArgumentException>(() => LeadResistance.Of(new(32, 0.02), new(32, 0.02), new(0.2, 0.1)));

    [Fact]
    public void A_rise_that_warm_copper_explains_is_no_loose_lug()
    {
        // 2 mΩ by 30 K: 0.2358 mΩ; half of it is seen.
        var drift = Judge(0.118e-3, 30);

        Assert.Equal(0.2358e-3, drift.ExplainedByWarming.Value, 2e-6);
        Assert.Equal(Verdict.Pass, drift.Verdict);
        Assert.Equal(0.118e-3, drift.Rise.Value, 5e-6);
    }

    [Fact]
    public void A_rise_beyond_warm_copper_is_said()
    {
        var drift = Judge(0.6e-3, 30);

        Assert.Equal(Verdict.Fail, drift.Verdict);
        Assert.Contains("Remove the load, stop the engine", drift.Words);
        Assert.Equal(0.6e-3 / (29.0 / 60), drift.OhmsPerHour.Value, 2e-5);
    }

    [Fact]
    public void A_rise_as_large_as_its_noise_is_undecided() =>
        Assert.Equal(Verdict.Undecided, Judge(0.2358e-3, 30).Verdict);

    private static LeadDrift Judge(double rise, double warming)
    {
        double[] ohms = [.. Seconds.Select(t => 2e-3 + rise * t / Seconds[^1])];
        return LeadDrift.Of(Seconds, ohms.Plus(Waves.Noise(ohms.Length, 5e-6, 12)), warming);
    }
}
