using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.Heat;

/// <summary>Whether a part has stopped warming: no more than so many kelvin an hour over at least the last hour.</summary>
/// <param name="Verdict">Pass: in equilibrium. Fail: still warming or cooling. Undecided: too noisy or too short.</param>
/// <param name="KelvinPerHour">Slope over the window; null when the series is too short for one.</param>
/// <param name="WindowSeconds">Real span of the readings judged: the shortest that covers the window; all there are when none does.</param>
/// <param name="Words">The finding in a sentence.</param>
/// <remarks>
/// At most 2 K/h over at least 60 min: the usual end of a heating test in IEC 60974-1 and machine standards (from memory: check
/// your copy). Slope by least squares; pass or fail only when the slope clears the limit by its one-sided 95 % bound
/// (JCGM 100:2008, H.3). Worked: 0.5 K rise evenly over an hour is 0.5 K/h.
/// </remarks>
public sealed record ThermalEquilibrium(Verdict Verdict, Estimate? KelvinPerHour, double WindowSeconds, string Words)
{
    /// <summary>Limit of the usual heating test, K/h.</summary>
    public const double UsualKelvinPerHour = 2;

    /// <summary>Window of the usual heating test.</summary>
    public static readonly TimeSpan UsualWindow = TimeSpan.FromMinutes(60);

    /// <summary>Judges the end of a series.</summary>
    /// <param name="seconds">Moments, rising.</param>
    /// <param name="celsius">Temperatures of the part.</param>
    /// <param name="mostKelvinPerHour">Limit, K/h, above zero.</param>
    /// <param name="window">Length of the end that is judged, above zero.</param>
    public static ThermalEquilibrium Of(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> celsius,
        double mostKelvinPerHour,
        TimeSpan window
    )
    {
        Series.Check(seconds, celsius, 1);
        Given.Positive("Limit of the slope", mostKelvinPerHour, "K/h");
        Given.Positive("Window", window.TotalSeconds, "s");
        var first = LastBefore(seconds, window.TotalSeconds);
        var covered = seconds[^1] - seconds[first];
        if (covered < window.TotalSeconds * (1 - 1e-9) || seconds.Length - first < 4)
        {
            return new ThermalEquilibrium(
                Verdict.Undecided,
                null,
                covered,
                $"{Minutes(covered)} min with {seconds.Length - first} readings; "
                    + $"at least {Figures.Of(window.TotalMinutes, 3)} min with at least 4 are needed."
            );
        }

        var slope = LineFit.Fit(seconds[first..], celsius[first..]).Slope;
        var perHour = slope with { Value = slope.Value * 3600, StandardUncertainty = slope.StandardUncertainty * 3600 };
        return Judged(perHour, mostKelvinPerHour, covered);
    }

    private static ThermalEquilibrium Judged(Estimate perHour, double most, double window)
    {
        var bound = StudentT.Quantile(0.95, perHour.DegreesOfFreedom) * perHour.StandardUncertainty;
        var size = Math.Abs(perHour.Value);
        var verdict =
            size + bound <= most ? Verdict.Pass
            : size - bound > most ? Verdict.Fail
            : Verdict.Undecided;
        var found = $"{perHour.Value:+0.00;−0.00} K/h (one-sided 95 %: ± {bound:0.00}) over {Minutes(window)} min";
        var words = verdict switch
        {
            Verdict.Pass => $"{found}: in equilibrium, at most {Figures.Of(most, 3)} K/h.",
            Verdict.Fail => $"{found}: not in equilibrium, {Figures.Of(most, 3)} K/h is allowed. Go on.",
            _ => $"{found}: too scattered to tell from {Figures.Of(most, 3)} K/h. Go on, or average longer.",
        };
        return new ThermalEquilibrium(verdict, perHour, window, words);
    }

    // Rounded down: 59.99 min are never printed as 60.
    private static string Minutes(double seconds) => $"{Math.Floor(seconds / 60 * 100 + 1e-6) / 100:0.##}";

    // The latest reading from which the window is covered; the first one when the series is too short.
    private static int LastBefore(ReadOnlySpan<double> seconds, double window)
    {
        var first = seconds.Length - 1;
        while (first > 0 && seconds[^1] - seconds[first] < window * (1 - 1e-9))
        {
            first--;
        }

        return first;
    }
}
