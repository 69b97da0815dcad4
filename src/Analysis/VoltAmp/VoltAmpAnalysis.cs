namespace LoadTest.Analysis.VoltAmp;

/// <summary>Fits volt-amp curves: the one entry point for a run's curve steps and for readings taken elsewhere.</summary>
public static class VoltAmpAnalysis
{
    /// <summary>Multiple of the stated uncertainties above which the scatter says that no shape fits.</summary>
    private const double MostScatter = 3;

    /// <summary>Chance of so few runs below which a misfit is called systematic.</summary>
    private const double SystematicRisk = 0.01;

    /// <summary>Chance of the lack-of-fit ratio below which a misfit is called systematic.</summary>
    private const double LackRisk = 0.001;

    /// <summary>Fits a curve to settled readings of one setting.</summary>
    /// <param name="points">Readings, in any order; uncertainties for all of them or for none.</param>
    /// <param name="options">Shape, coverage, load lines; null for the defaults.</param>
    /// <returns>The curve with its shape, the reason for it, results and findings.</returns>
    /// <remarks>With uncertainties in both axes every shape is fitted by orthogonal distance; with volts' uncertainties alone the amperes
    /// are taken as exact; with none the scatter is taken as an equal fraction of each axis's span (a straight line: all in the volts).
    /// Readings 0 A 60 V, 100 A 55 V, 200 A 50 V, 300 A 45 V: open-circuit voltage 60 V, slope −5 V/100 A.</remarks>
    /// <exception cref="ArgumentException">The points cannot be answered for: too few, not readings, all at one current, uncertainties
    /// mixed or absurd; or the shape asked for cannot be fitted to them, and why.</exception>
    public static VoltAmpCurve Fit(IReadOnlyList<VoltAmpPoint> points, VoltAmpOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(points);
        options ??= new VoltAmpOptions();
        if (!(options.Coverage > 0 && options.Coverage < 1))
        {
            throw new ArgumentException(
                $"Coverage {Figures.Of(options.Coverage, 6)} is asked for; it must be above 0 and below 1, for instance 0.95.",
                nameof(options)
            );
        }

        if (options.RatedAmperes is { } rated && !(rated > 0 && Given.IsNumber(rated)))
        {
            throw new ArgumentException(
                $"A rated current of {Figures.With(rated, "A")} is given; it must be finite and above 0 A.",
                nameof(options)
            );
        }

        RequireGain(options.CommonVoltsGain, "voltmeter");
        RequireGain(options.CommonAmperesGain, "ammeter");
        RequireStart(options);
        RequireDigit(options.VoltsDigit, "volts");
        RequireDigit(options.AmperesDigit, "amperes");
        var set = ReadingSet.Of(points, options);
        return options.Model is { } model ? Named(model, set, options) : Chosen(set, options);
    }

    private static void RequireGain(double gain, string meter)
    {
        if (!(gain >= 0 && gain < 0.5))
        {
            throw new ArgumentException(
                $"A relative uncertainty of {Figures.Of(gain, 6)} is stated for the {meter}'s gain; it must be 0 or above and below 0.5.",
                nameof(gain)
            );
        }
    }

    private static void RequireDigit(double digit, string axis)
    {
        if (!(digit >= 0) || !Given.IsNumber(digit))
        {
            throw new ArgumentException(
                $"A last digit of {Figures.Of(digit, 6)} is given for the {axis}; it must be finite and 0 or above.",
                nameof(digit)
            );
        }
    }

    private static void RequireStart(VoltAmpOptions options)
    {
        if (options.Start is not { } start || options.Model is not { } model || model == VoltAmpModel.Interpolation)
        {
            return;
        }

        var needed = model switch
        {
            VoltAmpModel.SharpKnee => 4,
            VoltAmpModel.RoundedKnee or VoltAmpModel.DroopedKnee => 5,
            VoltAmpModel.DroopedLine => 3,
            _ => 2,
        };
        Regression.FitInput.RequireSameLength(needed, start.Length, "Start");
        Regression.FitInput.RequireFinite(start, "Start");
    }

    private static VoltAmpCurve Named(VoltAmpModel model, ReadingSet set, VoltAmpOptions options)
    {
        const string Reason = "asked for by name";
        if (model == VoltAmpModel.Interpolation)
        {
            return new VoltAmpCurve(set, null, options, Reason, []);
        }

        var used =
            model == VoltAmpModel.StraightLine && !set.IsKnown ? set.WithEqualFractions(exactAmperes: true) : set;
        var fit = CurveSearch.Fit(model, used, options);
        if (fit is null || !fit.IsUsable)
        {
            throw new ArgumentException(
                $"A {VoltAmpNames.Of(model)} cannot be fitted to these {set.Readings.Length} points: {Trouble(model, set, fit)}.",
                nameof(options)
            );
        }

        return new VoltAmpCurve(used, ShapeChoice.OfOne(fit, options), options, Reason, []);
    }

    private static VoltAmpCurve Chosen(ReadingSet set, VoltAmpOptions options)
    {
        // A start belongs to a shape asked for by name; here every shape finds its own.
        var own = options with
        {
            Start = null,
        };
        var choice = ShapeChoice.Of(set, own);
        var candidates = choice.Weighed.Zip(ShapeChoice.Shapes, (fit, model) => Weighed(model, set, fit)).ToList();
        if (choice.Best is not { } best)
        {
            return Fallback(set, options, candidates);
        }

        if (IsSystematic(best))
        {
            return VoltAmpCurve.WithoutShape(set, options, Misfit(best), candidates);
        }

        var reason = Reason(best, candidates);
        if (best.Model == VoltAmpModel.StraightLine && !set.IsKnown)
        {
            var inVolts = set.WithEqualFractions(exactAmperes: true);
            best = ShapeChoice.OfOne(CurveSearch.Fit(best.Model, inVolts, own)!, own);
            return new VoltAmpCurve(inVolts, best, options, reason, candidates);
        }

        return new VoltAmpCurve(set, best, options, reason, candidates);
    }

    private static ModelCandidate Weighed(VoltAmpModel model, ReadingSet set, CurveFit? fit)
    {
        var criterion = fit is { IsUsable: true } ? ShapeChoice.Criterion(fit) : double.PositiveInfinity;
        return new ModelCandidate(
            model,
            VoltAmpNames.Of(model),
            fit?.Free ?? 0,
            double.IsFinite(criterion) ? criterion : null,
            fit?.ChanceOfScatter,
            double.IsFinite(criterion) ? "" : Trouble(model, set, fit)
        );
    }

    private static string Misfit(CurveFit best) =>
        best.Set.IsKnown
            ? $"even the best shape ({VoltAmpNames.Of(best.Model)}) leaves a scatter of {best.Ratio:F1} times the stated uncertainties (more than {MostScatter:F0} is no fit)"
            : $"even the best shape ({VoltAmpNames.Of(best.Model)}) misses the readings systematically";

    // Too few points for any criterion: a line if it can be drawn, else a curve through the points.
    private static VoltAmpCurve Fallback(ReadingSet set, VoltAmpOptions options, List<ModelCandidate> candidates)
    {
        var used = set.IsKnown ? set : set.WithEqualFractions(exactAmperes: true);
        var line = CurveSearch.Fit(
            VoltAmpModel.StraightLine,
            used,
            options with
            {
                SetOutliersAside = false,
                Start = null,
            }
        );
        return line is { IsUsable: true }
            ? new VoltAmpCurve(used, line, options, "the only formula so few points can carry", candidates)
            : new VoltAmpCurve(set, null, options, "too few points for any formula", candidates);
    }

    private static bool IsSystematic(CurveFit fit)
    {
        if (fit.Set.IsKnown)
        {
            return fit.ScattersTooMuch && fit.Ratio > MostScatter;
        }

        // Beyond what an eye sees in a picture.
        if (fit.Degrees == 0 || fit.Ratio <= FittedTrace.Margin)
        {
            return false;
        }

        return (fit.AsideCount == 0 && Repeats(fit) is { Chance: < LackRisk }) || fit.ChanceOfRuns() < SystematicRisk;
    }

    // Repeats are readings at the very same current; a curve that misses their means by more than they differ is of the wrong shape.
    private static Regression.LackOfFit? Repeats(CurveFit fit) =>
        Regression.LackOfFit.Of(Array.ConvertAll(fit.Set.Readings, r => r.Amperes), fit.Distances, fit.Free);

    private static string Reason(CurveFit best, List<ModelCandidate> candidates)
    {
        var criterion = ShapeChoice.Criterion(best);
        var rival = candidates.Where(c => c.Model != best.Model && c.Criterion is not null).MinBy(c => c.Criterion);
        var against =
            !double.IsFinite(criterion) ? "the simplest shape so few readings agree with"
            : rival is null ? "no other shape could be fitted"
            : Math.Abs(rival.Criterion!.Value - criterion) < ShapeChoice.Tied
                ? $"AICc {Figure(criterion)}; {rival.Name} comes to the same curve"
            : rival.Criterion < criterion
                ? $"AICc {Figure(criterion)}; {rival.Name} reaches {Figure(rival.Criterion.Value)}, not clearly better for its extra parameters"
            : $"AICc {Figure(criterion)} against {Figure(rival.Criterion.Value)} for the next best ({rival.Name})";
        var scatter = best.ChanceOfScatter is { } chance
            ? $"; scatter {(best.ScattersTooMuch ? "larger than" : "as")} stated (chi-squared {Figure(best.Squares)} for {best.Degrees} degrees of freedom, probability {Figures.Chance(chance)})"
            : "";
        return against + scatter;
    }

    // Whole numbers where tenths say nothing.
    private static string Figure(double value) => Math.Abs(value) < 1000 ? $"{value:F1}" : $"{value:F0}";

    private static string Trouble(VoltAmpModel model, ReadingSet set, CurveFit? fit)
    {
        var needed = CurveSearch.Needed(model, set.IsKnown);
        if (set.Readings.Length < needed)
        {
            return $"it needs at least {needed} points, {set.Readings.Length} were given";
        }

        if (fit is not null && !fit.Shape.IsPossible(fit.Parameters))
        {
            return "the points bend more than engine droop can explain";
        }

        if (fit is null)
        {
            return "the points bend no corner that falls away towards high current";
        }

        if (fit.Unscaled.Rank < fit.Free)
        {
            return $"the data tell only {fit.Unscaled.Rank} of its {fit.Free} parameters apart; measure over a wider range";
        }

        return fit.IsUsable
            ? "too few points to weigh it against simpler shapes"
            : $"the descent ended without a minimum ({fit.Reason})";
    }
}
