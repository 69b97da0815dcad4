using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Regression;

/// <summary>Whether a curve misses the means of repeated readings by more than the repeats differ among themselves.</summary>
/// <param name="Ratio">F: mean square of the misfit over mean square of the repeats.</param>
/// <param name="MisfitDegrees">Distinct abscissae less parameters.</param>
/// <param name="RepeatDegrees">Readings less distinct abscissae.</param>
/// <param name="Chance">Probability of a ratio this large by chance.</param>
/// <remarks>NIST/SEMATECH e-Handbook, 4.4.4.6. Load-cell calibration, 33 readings at 11 loads: straight line F 112.24, quadratic 0.3477.</remarks>
public sealed record LackOfFit(double Ratio, int MisfitDegrees, int RepeatDegrees, double Chance)
{
    /// <summary>The test; null when nothing was repeated, the repeats agree exactly, or no abscissa is left over.</summary>
    /// <param name="x">Abscissae; equal ones are repeats.</param>
    /// <param name="residuals">Observed less fitted, same order, equal weights.</param>
    /// <param name="parameters">Number of parameters fitted.</param>
    public static LackOfFit? Of(ReadOnlySpan<double> x, ReadOnlySpan<double> residuals, int parameters)
    {
        FitInput.RequireSameLength(x.Length, residuals.Length, nameof(residuals));
        FitInput.RequireFinite(x, nameof(x));
        FitInput.RequireFinite(residuals, nameof(residuals));
        var (keys, values) = (x.ToArray(), residuals.ToArray());
        Array.Sort(keys, values);
        var (groups, within, misfit) = (0, 0.0, 0.0);
        for (var i = 0; i < keys.Length; )
        {
            var end = i;
            var sum = 0.0;
            for (; end < keys.Length && keys[end] == keys[i]; end++)
            {
                sum += values[end];
            }

            var mean = sum / (end - i);
            misfit += (end - i) * mean * mean;
            for (; i < end; i++)
            {
                within += (values[i] - mean) * (values[i] - mean);
            }

            groups++;
        }

        var (misfitDegrees, repeatDegrees) = (groups - parameters, keys.Length - groups);
        if (misfitDegrees <= 0 || repeatDegrees <= 0 || within <= 0)
        {
            return null;
        }

        var ratio = misfit / misfitDegrees / (within / repeatDegrees);
        var chance = FisherF.UpperTail(ratio, misfitDegrees, repeatDegrees);
        return new LackOfFit(ratio, misfitDegrees, repeatDegrees, chance);
    }
}
