using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>Whether one reading of a fit may be called bad: only where all the others agree with the shape without it.</summary>
/// <remarks>A misfit of the shape shows in several readings at once and is never blamed on one of them. The outermost readings are never
/// set aside: nothing beyond them tells a bad reading from a curve that bends there.</remarks>
internal static class SetAside
{
    /// <summary>Probability, over all readings together, of setting a good one aside.</summary>
    private const double Risk = 0.005;

    /// <summary>Multiple of its own spread below which no reading is set aside, whatever the degrees of freedom.</summary>
    private const double AtLeast = 4;

    /// <summary>Chance of so few runs below which the rest does not agree with the shape.</summary>
    public const double RunsRisk = 0.05;

    /// <summary>With more readings than these only the farthest few are tried: the rest outvotes a bad one.</summary>
    private const int Few = 6;

    private const int Tried = 4;

    /// <summary>A fit with one more reading set aside.</summary>
    /// <param name="Fit">The fit without it.</param>
    /// <param name="IsFar">Whether chance does not put a reading so far from the curve of the others.</param>
    internal readonly record struct Step(CurveFit Fit, bool IsFar);

    /// <summary>The fit without the reading whose absence helps most; null when no reading may be left out.</summary>
    public static Step? Next(CurveFit fit, VoltAmpOptions options)
    {
        if (fit.Degrees < 2)
        {
            return null;
        }

        var (best, left) = ((CurveFit?)null, -1);
        foreach (var used in Candidates(fit))
        {
            var less = CurveSearch.Without(fit, used, options);
            if (less.IsUsable && less.Degrees >= 1 && (best is null || less.Squares < best.Squares))
            {
                (best, left) = (less, used);
            }
        }

        return best is null ? null : new Step(best, IsFar(best, fit.Set.Readings[Index(fit, left)]));
    }

    /// <summary>Whether the readings used agree with the shape: scattered as stated, or without a pattern where nothing is stated.</summary>
    public static bool Agrees(CurveFit fit) =>
        fit.Set.IsKnown ? !fit.ScattersTooMuch : fit.IsWithinDigit || fit.ChanceOfRuns() >= RunsRisk;

    private static IEnumerable<int> Candidates(CurveFit fit)
    {
        var (first, last) = fit.Ends();
        var all = Enumerable.Range(0, fit.Used).Where(i => i != first && i != last);
        return fit.Used <= Few ? all : [.. all.OrderByDescending(i => Math.Abs(fit.Studentised(i))).Take(Tried)];
    }

    // Distance from the curve of the others over the spread expected of it: Student's t, or normal where the stated uncertainties hold.
    private static bool IsFar(CurveFit rest, in CurveShape.Reading reading)
    {
        var p = rest.Shape.Count;
        Span<double> gradient = stackalloc double[p];
        var foot = double.NaN;
        var distance = rest.Shape.Distance(rest.Parameters, reading, ref foot, gradient);
        if (!double.IsFinite(distance))
        {
            return false;
        }

        var share = 0.0;
        for (var i = 0; i < p; i++)
        {
            for (var j = 0; j < p; j++)
            {
                share += gradient[i] * rest.Unscaled[i, j] * gradient[j];
            }
        }

        var holds = rest.Set.IsKnown && !rest.ScattersTooMuch;
        var variance = holds ? 1 : Math.Max(rest.Squares / rest.Degrees, rest.Set.DigitVariance);
        var size = Math.Abs(distance) / Math.Sqrt(variance * (1 + Math.Max(0, share)));
        var risk = Risk / (2 * (rest.Used + 1));
        return size > AtLeast
            && size > (holds ? Normal.UpperQuantile(risk) : StudentT.UpperQuantile(risk, rest.Degrees));
    }

    private static int Index(CurveFit fit, int used)
    {
        for (var i = 0; ; i++)
        {
            if (!fit.Aside[i] && used-- == 0)
            {
                return i;
            }
        }
    }
}
