using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>Fits one shape to a set of readings, with none or some of them set aside.</summary>
internal static class CurveSearch
{
    /// <summary>Fits a shape to all readings; null when they are too few or bend nowhere.</summary>
    public static CurveFit? Fit(VoltAmpModel model, ReadingSet set, VoltAmpOptions options)
    {
        if (set.Readings.Length < Needed(model, set.IsKnown))
        {
            return null;
        }

        var start = options.Start;
        if (!TryStart(model, set, start, out var shape, out var parameters))
        {
            return null;
        }

        var aside = new bool[set.Readings.Length];
        var fit = First(model, shape, set, parameters, aside, widths: start is null);
        fit.Follow(options);
        return fit;
    }

    /// <summary>Fewest readings the shape can answer for.</summary>
    public static int Needed(VoltAmpModel model, bool known) =>
        (known ? 0 : 1)
        + model switch
        {
            VoltAmpModel.SharpKnee => 4,
            VoltAmpModel.RoundedKnee or VoltAmpModel.DroopedKnee => 5,
            VoltAmpModel.DroopedLine => 3,
            _ => 2,
        };

    /// <summary>The same shape with one used reading less.</summary>
    public static CurveFit Without(CurveFit fit, int used, VoltAmpOptions options)
    {
        var less = Without(fit, used, options.Start);
        less.Follow(options);
        return less;
    }

    private static CurveFit Without(CurveFit fit, int used, double[]? start)
    {
        var aside = (bool[])fit.Aside.Clone();
        var seen = 0;
        for (var i = 0; i < aside.Length; i++)
        {
            if (!aside[i] && seen++ == used)
            {
                aside[i] = true;
                break;
            }
        }

        var kept = fit.Set.Readings.Where((_, i) => !aside[i]).ToArray();
        var parameters = (double[])fit.Parameters.Clone();
        if (
            start is null
            && fit.Set.Only(kept) is { } smaller
            && TryStart(fit.Model, smaller, null, out var shape, out var fresh)
        )
        {
            var anew = Once(fit.Model, shape, fit.Set, fresh, kept, aside);
            var along = Once(fit.Model, fit.Shape, fit.Set, parameters, kept, aside);
            return anew.Squares <= along.Squares ? anew : along;
        }

        return Once(fit.Model, fit.Shape, fit.Set, parameters, kept, aside);
    }

    // A rounded corner is tried from nearly sharp to wide: the sum of squares has a valley for each.
    private static CurveFit First(
        VoltAmpModel model,
        CurveShape shape,
        ReadingSet set,
        double[] parameters,
        bool[] aside,
        bool widths
    )
    {
        var narrow = model == VoltAmpModel.RoundedKnee && widths ? (double[])parameters.Clone() : null;
        var wide = (double[]?)narrow?.Clone();
        var fit = Once(model, shape, set, parameters, set.Readings, aside);
        if (narrow is null || wide is null)
        {
            return fit;
        }

        narrow[4] *= 0.1;
        wide[4] *= 4;
        foreach (var from in new[] { narrow, wide })
        {
            var other = Once(model, shape, set, from, set.Readings, aside);
            var better = other.IsUsable == fit.IsUsable ? other.Squares < fit.Squares : other.IsUsable;
            fit = better ? other : fit;
        }

        return fit;
    }

    private static CurveFit Once(
        VoltAmpModel model,
        CurveShape shape,
        ReadingSet set,
        double[] parameters,
        CurveShape.Reading[] readings,
        bool[] aside
    )
    {
        var problem = new CurveProblem(shape, readings);
        var upper = new double[shape.Count];
        Array.Fill(upper, double.PositiveInfinity);
        var outcome = LevenbergMarquardt.Minimise(problem, parameters, shape.Lower, upper, 200, unseen: 1e-10);
        return new CurveFit(model, shape, set, outcome, aside);
    }

    private static bool TryStart(
        VoltAmpModel model,
        ReadingSet set,
        double[]? start,
        out CurveShape shape,
        out double[] parameters
    )
    {
        (shape, parameters) = (new BentLineShape(2, swapped: false), [0, 0]);
        switch (model)
        {
            case VoltAmpModel.StraightLine:
                parameters = start is null ? FirstGuess.Line(set) : (double[])start.Clone();
                return true;
            case VoltAmpModel.Ellipse:
                shape = new EllipseShape();
                parameters = start is null ? FirstGuess.Ellipse(set) : (double[])start.Clone();
                return true;
            case VoltAmpModel.DroopedLine:
                shape = new DroopShape(3, swapped: false);
                parameters = start is null ? FirstGuess.Droop(set) : (double[])start.Clone();
                return true;
            case VoltAmpModel.DroopedKnee:
                return TryDroopedKnee(set, start, out shape, out parameters);
            default:
                var rounded = model == VoltAmpModel.RoundedKnee;
                if (start is not null)
                {
                    shape = new BentLineShape(rounded ? 5 : 4, swapped: false);
                    parameters = (double[])start.Clone();
                    return true;
                }

                if (KneeStart.Find(set) is not { } corner)
                {
                    return false;
                }

                var swapped = !set.AmperesExact && !corner.IsLevel;
                shape = new BentLineShape(rounded ? 5 : 4, swapped);
                parameters = KneeStart.Parameters(corner, set, swapped, rounded);
                return true;
        }
    }

    // The ceiling from the readings before the corner of two straight branches, the limit from those beyond it.
    private static bool TryDroopedKnee(ReadingSet set, double[]? start, out CurveShape shape, out double[] parameters)
    {
        shape = new DroopShape(5, swapped: false);
        parameters = (double[]?)start?.Clone() ?? [];
        if (start is not null)
        {
            return true;
        }

        if (KneeStart.Find(set) is not { } corner)
        {
            return false;
        }

        var swapped = !set.AmperesExact && !corner.IsLevel;
        var before = set.Readings.Where(r => r.Amperes <= corner.Amperes && r.Volts >= corner.Volts).ToArray();
        var ceiling = FirstGuess.Droop(set.Only(before) ?? set);
        var straight = KneeStart.Parameters(corner, set, swapped, rounded: false);
        shape = new DroopShape(5, swapped);
        parameters = [.. ceiling, straight[3], swapped ? straight[1] : straight[1] + straight[2]];
        return true;
    }
}
