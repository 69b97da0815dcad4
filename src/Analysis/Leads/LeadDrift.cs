using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Quantities;
using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.Leads;

/// <summary>Whether a lead's resistance rises: warm copper a little, a loose lug more.</summary>
/// <param name="OhmsPerHour">Slope over the readings.</param>
/// <param name="Rise">From the first to the last moment along the line, Ω.</param>
/// <param name="ExplainedByWarming">Rise that copper as warm as was said would show, Ω.</param>
/// <param name="Verdict">Pass: no more than warming explains. Fail: more. Undecided: cannot be told.</param>
/// <param name="Words">The finding in a sentence.</param>
/// <remarks>
/// Least-squares line (JCGM 100:2008, H.3); copper by 0.00393/K (IEC 60028, from memory: check your copy). Fail only when the
/// excess clears its one-sided 95 % bound. Worked: 2.00 mΩ warmed by 30 K rises by 0.236 mΩ without anything being loose.
/// </remarks>
public sealed record LeadDrift(
    Estimate OhmsPerHour,
    Estimate Rise,
    Ohms ExplainedByWarming,
    Verdict Verdict,
    string Words
)
{
    /// <summary>Judges resistances taken over a run.</summary>
    /// <param name="seconds">Moments, rising, at least four.</param>
    /// <param name="ohms">Lead resistances, Ω.</param>
    /// <param name="warmingKelvin">Most the copper may have warmed over the readings, K, from zero up.</param>
    public static LeadDrift Of(ReadOnlySpan<double> seconds, ReadOnlySpan<double> ohms, double warmingKelvin)
    {
        Given.Values("Moments", seconds, 4);
        Given.SameLength("Lead resistances", ohms.Length, seconds.Length);
        Given.Values("Lead resistances", ohms, 4);
        Given.NotNegative("Warming of the copper", warmingKelvin, "K");
        var line = LineFit.Fit(seconds, ohms);
        var span = seconds[^1] - seconds[0];
        var rise = Scaled(line.Slope, span);
        var start = Math.Max(0, line.Predict(seconds[0]).Value);
        var explained = start * LeadResistance.CopperPerKelvin * warmingKelvin;
        var bound = StudentT.Quantile(0.95, rise.DegreesOfFreedom) * rise.StandardUncertainty;
        var verdict =
            rise.Value - bound > explained ? Verdict.Fail
            : rise.Value + bound <= explained ? Verdict.Pass
            : Verdict.Undecided;
        var found =
            $"{rise.Value * 1e6:+0.0;−0.0} µΩ (one-sided 95 %: ± {bound * 1e6:0.0} µΩ) over {Figures.Of(span / 60, 3)} min; "
            + $"{Figures.Of(warmingKelvin, 3)} K of warming explain {explained * 1e6:0.0} µΩ";
        var words = verdict switch
        {
            Verdict.Fail =>
                $"{found}: more than warming. Remove the load, stop the engine, and check lugs and contacts once cool.",
            Verdict.Pass => $"{found}: no more than warming.",
            _ => $"{found}: cannot be told apart. Take more readings.",
        };
        return new LeadDrift(Scaled(line.Slope, 3600), rise, new Ohms(explained), verdict, words);
    }

    private static Estimate Scaled(Estimate slope, double by) =>
        slope with
        {
            Value = slope.Value * by,
            StandardUncertainty = slope.StandardUncertainty * Math.Abs(by),
        };
}
