using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.Heat;

/// <summary>Where a warming part will end and how fast, from a warm-up that need not be complete.</summary>
/// <param name="Start">Temperature at the first moment, °C.</param>
/// <param name="Rise">Rise from there to the end, K; negative when it cools.</param>
/// <param name="TimeConstantSeconds">Time in which 63.2 % of the rise is done, s.</param>
/// <param name="Final">Temperature it tends to, °C.</param>
/// <param name="PartDone">Part of the rise done at the last moment, 0 to 1.</param>
/// <param name="ResidualKelvin">Scatter about the curve, K.</param>
/// <remarks>
/// T = T₀ + ΔT·(1 − e^(−t/τ)): one heat capacity and one path for the heat, textbooks of electrical machines; a winding in an iron
/// core has two and its early minutes run ahead. Least squares, uncertainties from the scatter. Worked: 20 °C, 60 K, 1200 s:
/// 57.9 °C after 1200 s.
/// </remarks>
public sealed record WarmUp(
    Estimate Start,
    Estimate Rise,
    Estimate TimeConstantSeconds,
    Estimate Final,
    double PartDone,
    double ResidualKelvin
)
{
    /// <summary>Relative standard uncertainty of the rise above which no end is named.</summary>
    public const double WorstRelative = 0.25;

    /// <summary>Temperature it tends to, with what the thermometer does to every temperature alike, °C.</summary>
    /// <param name="thermometer">Standard uncertainty of the thermometer common to all temperatures, K, zero or above.</param>
    /// <remarks>The scatter about the curve holds only what differs from one temperature to the next. 0.02 K of the fit beside 0.4 K
    /// of the thermometer: 0.4005 K.</remarks>
    public Estimate FinalBy(double thermometer)
    {
        Given.NotNegative("Uncertainty of the thermometer", thermometer, "K");
        return Combined.Of(Final.Value, [(Final, 1), (new Estimate(0, thermometer), 1)]);
    }

    /// <summary>Fits a warm-up or a cooling.</summary>
    /// <param name="seconds">Moments, rising, at least five.</param>
    /// <param name="celsius">Temperatures.</param>
    /// <returns>The curve, or why none can be named.</returns>
    /// <exception cref="ArgumentException">Values missing, out of order or too few.</exception>
    public static WarmUpAnswer Of(ReadOnlySpan<double> seconds, ReadOnlySpan<double> celsius)
    {
        Series.Check(seconds, celsius, 5);
        var span = seconds[^1] - seconds[0];
        double[] times = new double[seconds.Length];
        for (var k = 0; k < times.Length; k++)
        {
            times[k] = seconds[k] - seconds[0];
        }

        if (Series.Range(celsius) == 0)
        {
            return new WarmUpUnknown("Every temperature is the same: nothing warms.");
        }

        NonlinearFit? best = null;
        foreach (var part in (ReadOnlySpan<double>)[0.1, 0.4, 1.5])
        {
            var tau = part * span;
            var rise = (celsius[^1] - celsius[0]) / (1 - Math.Exp(-1 / part));
            var fit = NonlinearFit.Fit(Curve, times, celsius, [celsius[0], rise, tau], Options(span));
            best = best is null || fit.WeightedSquares < best.WeightedSquares ? fit : best;
        }

        return Judged(best!, span);
    }

    private static NonlinearOptions Options(double span) =>
        new()
        {
            Descents = 1,
            Lower = [double.NegativeInfinity, double.NegativeInfinity, 1e-4 * span],
            Upper = [double.PositiveInfinity, double.PositiveInfinity, 100 * span],
        };

    private static WarmUpAnswer Judged(NonlinearFit fit, double span)
    {
        if (fit.Parameters is not { } found || fit.HeldByBound[2])
        {
            return new WarmUpUnknown(
                $"The temperatures run straight or not at all within {Figures.Of(span, 4)} s, so no end can be named. Go on longer. "
                    + fit.CannotSay
            );
        }

        var (start, rise, tau) = (found[0], found[1], found[2]);
        if (!(rise.Relative <= WorstRelative))
        {
            return new WarmUpUnknown(
                $"The rise comes out as {Figures.Of(rise.Value, 4)} K with u = {Figures.Of(rise.StandardUncertainty, 2)} K; above "
                    + $"{WorstRelative:P0} no end is named. Go on for longer than {Figures.Of(tau.Value, 3)} s."
            );
        }

        var variance = fit.Covariance(0, 0) + fit.Covariance(1, 1) + 2 * fit.Covariance(0, 1);
        var final = new Estimate(start.Value + rise.Value, Math.Sqrt(Math.Max(0, variance)), rise.DegreesOfFreedom);
        var done = 1 - Math.Exp(-span / tau.Value);
        return new WarmUpFound(new WarmUp(start, rise, tau, final, done, fit.ResidualStandardDeviation));
    }

    private static double Curve(ReadOnlySpan<double> x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        var decay = Math.Exp(-x[0] / p[2]);
        if (!gradient.IsEmpty)
        {
            gradient[0] = 1;
            gradient[1] = 1 - decay;
            gradient[2] = -p[1] * decay * x[0] / (p[2] * p[2]);
        }

        return p[0] + p[1] * (1 - decay);
    }
}
