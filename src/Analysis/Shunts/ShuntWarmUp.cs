using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Drift of a shunt's ratio while it warms at one current: where it ends, how far and how fast.</summary>
/// <param name="Final">Ratio it tends to, in the unit given, with u; null when it cannot be named.</param>
/// <param name="DriftPercent">Change from the first moment to the end, percent of the final ratio; null likewise.</param>
/// <param name="TimeConstantSeconds">Time in which 63.2 % of the drift is done, s; null likewise.</param>
/// <param name="Words">The finding, or why there is none.</param>
public sealed record ShuntWarmUp(Estimate? Final, Estimate? DriftPercent, Estimate? TimeConstantSeconds, string Words)
{
    /// <summary>Fewest readings three parameters and their scatter can be had from.</summary>
    public const int FewestReadings = 6;

    // A drift whose relative uncertainty is above this is not told from scatter.
    private const double WorstRelative = 0.4;

    /// <summary>Fit r(t) = final + start·exp(−t/τ) to ratios at one current.</summary>
    /// <param name="seconds">Times, s, ascending.</param>
    /// <param name="ratios">Ratios, in mV/A, as many.</param>
    /// <exception cref="ArgumentException">Too few, of unequal number, out of order, or not finite.</exception>
    /// <remarks>Single time constant, the usual first model of a body that warms (common practice). Worked number: 0.12000 mV/A at
    /// first, 0.12010 at the end and 0.120063 after 180 s is a drift of +0.083 % with τ = 180 s, 63.2 % of it done by then.</remarks>
    public static ShuntWarmUp Fit(ReadOnlySpan<double> seconds, ReadOnlySpan<double> ratios)
    {
        Check(seconds, ratios);
        double origin = seconds[0],
            span = seconds[^1] - origin,
            scale = Math.Abs(ratios[^1]);
        var times = seconds.ToArray();
        var levels = ratios.ToArray();
        for (var i = 0; i < times.Length; i++)
        {
            times[i] -= origin;
            levels[i] /= scale;
        }
        if (levels.Max() == levels.Min())
            return new(null, null, null, "The ratio does not change: no warm-up drift to see.");
        NonlinearFit? best = null;
        foreach (var part in (ReadOnlySpan<double>)[0.1, 0.4, 1.5])
        {
            var fit = NonlinearFit.Fit(
                Curve,
                times,
                levels,
                [levels[^1], levels[0] - levels[^1], part * span],
                new()
                {
                    Descents = 1,
                    Lower = [double.NegativeInfinity, double.NegativeInfinity, 1e-4 * span],
                    Upper = [double.PositiveInfinity, double.PositiveInfinity, 100 * span],
                }
            );
            best = best is null || fit.WeightedSquares < best.WeightedSquares ? fit : best;
        }
        return Judged(best!, scale, span);
    }

    private static ShuntWarmUp Judged(NonlinearFit fit, double scale, double span)
    {
        if (
            fit.Parameters is not { } found
            || fit.HeldByBound[2]
            || !(found[1].Relative <= WorstRelative)
            || !(found[2].Relative <= WorstRelative)
        )
            return new(
                null,
                null,
                null,
                $"No warm-up curve can be told from the scatter within {Figures.Of(span, 4)} s. Go on longer, or there is none to see."
            );
        var (final, start, tau) = (found[0], found[1], found[2]);
        var drift = new Estimate(
            -start.Value / final.Value * 100,
            Math.Abs(start.StandardUncertainty / final.Value) * 100,
            start.DegreesOfFreedom
        );
        return new(
            new Estimate(final.Value * scale, final.StandardUncertainty * scale, final.DegreesOfFreedom),
            drift,
            tau,
            $"The ratio drifts {drift.Value:+0.000;−0.000} % while warming, with a time constant of {Figures.Of(tau.Value, 3)} s; {1 - Math.Exp(-span / tau.Value):P0} of it was seen."
        );
    }

    private static void Check(ReadOnlySpan<double> seconds, ReadOnlySpan<double> ratios)
    {
        Guard.Require(
            seconds.Length == ratios.Length && seconds.Length >= FewestReadings,
            $"Shunt warm-up: {seconds.Length} times and {ratios.Length} ratios; give {FewestReadings} or more of each."
        );
        for (var i = 0; i < seconds.Length; i++)
        {
            Guard.Finite(seconds[i], "Shunt warm-up", "time in s");
            Guard.Finite(ratios[i], "Shunt warm-up", "ratio");
            Guard.Require(
                i == 0 || seconds[i] > seconds[i - 1],
                $"Shunt warm-up: reading {i + 1} is not later than the one before it."
            );
        }
        Guard.Require(ratios[^1] != 0, "Shunt warm-up: the last ratio is 0; a ratio needs a drop.");
    }

    private static double Curve(ReadOnlySpan<double> x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        var decay = Math.Exp(-x[0] / p[2]);
        if (!gradient.IsEmpty)
        {
            gradient[0] = 1;
            gradient[1] = decay;
            gradient[2] = p[1] * decay * x[0] / (p[2] * p[2]);
        }
        return p[0] + p[1] * decay;
    }
}
