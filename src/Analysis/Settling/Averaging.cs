using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Settling;

/// <summary>Mean of a window of readings with effective sample size under autocorrelation.</summary>
public static class Averaging
{
    // Below two independent readings there is no degree of freedom left to estimate a spread from.
    private const double FewestEffective = 2;

    /// <summary>Average the readings of a settled window.</summary>
    /// <param name="values">Readings in order of time, evenly spaced, all finite, at least one.</param>
    /// <returns>Mean, s, effective count and standard uncertainty of the mean.</returns>
    /// <exception cref="ArgumentException">No reading, or one that is NaN or infinite.</exception>
    /// <remarks>
    /// n_eff = n / (1 + 2 Σ (1 − k/n) r_k), the sum over lags k up to the first r_k that is not positive and at most
    /// n/4; never above n. s² is corrected for the correlation, s_a² = s² · n_eff (n − 1) / (n (n_eff − 1)); u = s_a/√n_eff
    /// with ν = n_eff − 1. Source: Bayley and Hammersley 1946; Zięba, Metrol. Meas. Syst. 17 (2010) (both from memory);
    /// with independent readings it is JCGM 100:2008, 4.2. Worked number: 20 readings of s = 0.5 A that do not lean on
    /// each other give u = 0.5/√20 = 0.112 A with 19 degrees of freedom. Readings that do not vary at all give u = 0: the
    /// meter's resolution must then stand in the budget.
    /// </remarks>
    public static WindowMean Mean(ReadOnlySpan<double> values)
    {
        Refuse(values);
        var n = values.Length;
        var (mean, sumOfSquares) = SampleMoments.About(values);
        if (n == 1)
            return new(1, mean, StandardDeviation: 0, Lag1: 0, EffectiveCount: 1, Outliers: 0, Estimate: null);
        var s = Math.Sqrt(sumOfSquares / (n - 1));
        var lag1 = Autocorrelation(values, mean, sumOfSquares, 1);
        var effective = EffectiveCount(values, mean, sumOfSquares);
        Estimate? estimate = null;
        if (effective >= FewestEffective)
        {
            var widened = s * Math.Sqrt(effective * (n - 1) / (n * (effective - 1)));
            estimate = new Estimate(mean, widened / Math.Sqrt(effective), effective - 1);
        }
        return new(n, mean, s, lag1, effective, Outliers.HampelCount(values), estimate);
    }

    /// <summary>Lag-k autocorrelation coefficient as NIST defines it for its certified sets.</summary>
    /// <param name="values">Readings in order of time, all finite, at least two.</param>
    /// <param name="lag">Lag k, 1 up to one less than the number of readings.</param>
    /// <returns>r_k = Σ (x_i − x̄)(x_{i+k} − x̄) / Σ (x_i − x̄)², −1 to 1; zero when the readings do not vary.</returns>
    /// <exception cref="ArgumentException">No reading, one that is not finite, or a lag out of range.</exception>
    public static double Autocorrelation(ReadOnlySpan<double> values, int lag)
    {
        Refuse(values);
        if (lag < 1 || lag >= values.Length)
            throw new ArgumentException(
                $"Averaging: lag {lag} of {values.Length} readings; the lag must be 1 to {values.Length - 1}.",
                nameof(lag)
            );
        var (mean, sumOfSquares) = SampleMoments.About(values);
        return Autocorrelation(values, mean, sumOfSquares, lag);
    }

    internal static void Refuse(ReadOnlySpan<double> values)
    {
        if (values.IsEmpty)
            throw new ArgumentException("Averaging: no reading. Give at least one.", nameof(values));
        for (var i = 0; i < values.Length; i++)
        {
            if (!Given.IsNumber(values[i]))
                throw new ArgumentException(
                    $"Averaging: reading {i + 1} of {values.Length} is {values[i]}. A missing or overloaded reading stays missing and is never averaged.",
                    nameof(values)
                );
        }
    }

    private static double Autocorrelation(ReadOnlySpan<double> values, double mean, double sumOfSquares, int lag)
    {
        if (sumOfSquares <= 0)
            return 0;
        var sum = 0.0;
        for (var i = lag; i < values.Length; i++)
            sum += (values[i] - mean) * (values[i - lag] - mean);
        return sum / sumOfSquares;
    }

    private static double EffectiveCount(ReadOnlySpan<double> values, double mean, double sumOfSquares)
    {
        var n = values.Length;
        if (sumOfSquares <= 0)
            return n;
        var sum = 0.0;
        for (var lag = 1; lag <= n / 4; lag++)
        {
            var r = Autocorrelation(values, mean, sumOfSquares, lag);
            if (r <= 0)
                break;
            sum += (1 - (double)lag / n) * r;
        }
        return Math.Clamp(n / (1 + 2 * sum), 1, n);
    }
}
