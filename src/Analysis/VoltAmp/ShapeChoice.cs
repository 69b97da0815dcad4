namespace LoadTest.Analysis.VoltAmp;

/// <summary>Chooses among the shapes by the evidence, all of them on equal terms.</summary>
/// <remarks>Shapes are compared only on the same readings with the same number of them set aside. With none set aside first; with one
/// more only where the best shape does not agree with the readings or a reading lies far from it; back to none where that explains
/// nothing. AICc counts the readings used and the parameters fitted.</remarks>
internal sealed class ShapeChoice
{
    /// <summary>Difference of AICc below which the simpler shape is kept (Burnham and Anderson, 2002).</summary>
    private const double ClearlyBetter = 2;

    /// <summary>Difference of AICc that is rounding: a rounded knee whose corner has gone to nothing is a sharp one.</summary>
    public const double Tied = 0.05;

    /// <summary>Multiple of its expected spread above which a reading is worth a second look.</summary>
    private const double Suspect = 4;

    private static readonly VoltAmpModel[] s_shapes =
    [
        VoltAmpModel.StraightLine,
        VoltAmpModel.Ellipse,
        VoltAmpModel.DroopedLine,
        VoltAmpModel.SharpKnee,
        VoltAmpModel.RoundedKnee,
        VoltAmpModel.DroopedKnee,
    ];

    private readonly VoltAmpOptions _options;
    private readonly CurveFit?[] _whole;
    private readonly List<SetAside.Step?[]> _less = [];

    private ShapeChoice(ReadingSet set, VoltAmpOptions options)
    {
        _options = options;
        _whole = Array.ConvertAll(s_shapes, m => CurveSearch.Fit(m, set, options));
        var whole = Array.ConvertAll(_whole, f => f is { IsUsable: true } ? f : null);
        Best = Of(whole);
        Weighed = _whole;
        if (Best is null || !options.SetOutliersAside)
        {
            return;
        }

        var most = set.Readings.Length / 5;
        if (IsDoubtful(Best, whole))
        {
            SetSomeAside(whole, most);
        }
    }

    /// <summary>The shapes, simplest first.</summary>
    public static IReadOnlyList<VoltAmpModel> Shapes => s_shapes;

    /// <summary>The shape that describes the readings best; null when none could be fitted.</summary>
    public CurveFit? Best { get; private set; }

    /// <summary>The fits it was compared with, in the order of the shapes; null where one was not possible.</summary>
    public CurveFit?[] Weighed { get; private set; }

    /// <summary>Chooses.</summary>
    public static ShapeChoice Of(ReadingSet set, VoltAmpOptions options) => new(set, options);

    /// <summary>One shape with as many far readings set aside as its other readings bear out.</summary>
    public static CurveFit OfOne(CurveFit whole, VoltAmpOptions options)
    {
        var (best, fit) = (whole, whole);
        var most = options.SetOutliersAside && whole.IsUsable ? whole.Set.Readings.Length / 5 : 0;
        for (var k = 0; k < most && (!SetAside.Agrees(fit) || fit.Farthest() > Suspect); k++)
        {
            if (SetAside.Next(fit, options) is not { IsFar: true } step)
            {
                break;
            }

            fit = step.Fit;
            best = SetAside.Agrees(fit) ? fit : best;
        }

        return best;
    }

    /// <summary>The corrected criterion of Akaike of a fit; infinite where the readings are too few for it.</summary>
    public static double Criterion(CurveFit fit)
    {
        var n = fit.Used;
        var k = fit.Free + (fit.Set.IsKnown ? 0 : 1);
        if (n - k - 1 <= 0)
        {
            return double.PositiveInfinity;
        }

        return Misfit(fit) + (2 * k) + (2.0 * k * (k + 1) / (n - k - 1));
    }

    // Scatter below the last digit, or below 10⁻⁹ of the span, is rounding of the readings and no evidence for another parameter.
    private static double Misfit(CurveFit fit) =>
        fit.Set.IsKnown
            ? fit.Squares
            : fit.Used * Math.Log(Math.Max(fit.Squares / fit.Used, Math.Max(fit.Set.DigitVariance, 1e-18)));

    private static bool IsDoubtful(CurveFit best, CurveFit?[] whole) =>
        !SetAside.Agrees(best)
        || best.Model == VoltAmpModel.Ellipse
        || (best.Set.IsKnown ? best.Farthest() > Suspect : whole.Any(f => f?.Farthest() > Suspect));

    private void SetSomeAside(CurveFit?[] whole, int most)
    {
        var current = whole;
        for (var aside = 1; aside <= most; aside++)
        {
            var steps = Array.ConvertAll(current, f => f is null ? null : SetAside.Next(f, _options));
            current = Array.ConvertAll(steps, s => s?.Fit);
            _less.Add(steps);
            if (Of(current) is not { } best)
            {
                return;
            }

            if (SetAside.Agrees(best) && Chain(best.Model, aside))
            {
                (Best, Weighed) = (best, current);
                if (best.Farthest() <= Suspect)
                {
                    return;
                }
            }
            else if (aside == 1 && best.Free == Best!.Free && best.Model < Best.Model && !best.Set.IsKnown)
            {
                // No reading is bad enough to leave out, yet one of them alone speaks for the other shape.
                Best = whole.First(f => f?.Model == best.Model);
            }
        }
    }

    // Whether every reading set aside so far from this shape lies far from it.
    private bool Chain(VoltAmpModel model, int aside)
    {
        var index = Array.IndexOf(s_shapes, model);
        return _less.Take(aside).All(s => s[index] is { IsFar: true });
    }

    private static CurveFit? Of(CurveFit?[] fits)
    {
        CurveFit? best = null;
        var least = double.PositiveInfinity;
        foreach (var fit in fits.OfType<CurveFit>())
        {
            var criterion = Criterion(fit);
            if (criterion < least - Handicap(fit, best))
            {
                (best, least) = (fit, criterion);
            }
        }

        return best is not null && (!best.Set.IsKnown || SetAside.Agrees(best)) ? best : WithoutCriterion(fits) ?? best;
    }

    // Too few readings for the criterion: the simplest that stated uncertainties bear out, or without them the simplest, and of two
    // equally simple ones the closer.
    private static CurveFit? WithoutCriterion(CurveFit?[] fits)
    {
        CurveFit? best = null;
        foreach (var fit in fits.OfType<CurveFit>().Where(f => !double.IsFinite(Criterion(f))))
        {
            if (fit.Degrees < 1 || !SetAside.Agrees(fit))
            {
                continue;
            }

            if (best is null || (fit.Free == best.Free && Misfit(fit) < Misfit(best) - Handicap(fit, best)))
            {
                best = fit;
            }
        }

        return best;
    }

    private static double Handicap(CurveFit fit, CurveFit? best) =>
        best is null ? 0
        : fit.Free == best.Free && fit.Model != VoltAmpModel.Ellipse ? Tied
        : ClearlyBetter;
}
