using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Decision;

/// <summary>What would decide an undecided result: how many more readings, or which meter must become how good.</summary>
/// <param name="NeededUncertainty">Standard uncertainty at which the same value would get a verdict; null when none would.</param>
/// <param name="MoreReadings">Readings in all that would be enough, all else unchanged; null when readings alone are not.</param>
/// <param name="Line">Largest line that is not scatter; null when there is none.</param>
/// <param name="LineNeeded">u that line would have to come down to, all else unchanged; null when it alone is not enough.</param>
/// <param name="Words">The advice in a sentence or two.</param>
public sealed record Remedy(
    double? NeededUncertainty,
    double? MoreReadings,
    BudgetLine? Line,
    double? LineNeeded,
    string Words
)
{
    private const int Halvings = 60;

    /// <summary>Work out what would decide a judgement made from a budget.</summary>
    /// <param name="judgement">An undecided judgement.</param>
    /// <param name="budget">The budget it was made from.</param>
    /// <returns>Null when the judgement is not undecided.</returns>
    /// <remarks>The value is taken as staying where it is and k as unchanged. Scatter falls with √n (JCGM 100:2008, 4.2.3).
    /// Worked number: 0.9 against at most 1.0 under w = U, k = 2, needs u of 0.05 or less.</remarks>
    public static Remedy? For(Judgement judgement, Budget budget)
    {
        ArgumentNullException.ThrowIfNull(judgement);
        ArgumentNullException.ThrowIfNull(budget);
        if (judgement is not { Verdict: Verdict.Undecided, Estimate: { } estimate, Rule: { } rule })
            return null;
        if (NeededFor(estimate, judgement, rule) is not { } needed)
            return new(
                null,
                null,
                null,
                null,
                "The value lies on the limit itself: no meter can decide it. Adjust the unit or agree on another limit."
            );
        var u = estimate.StandardUncertainty;
        var surplus = u * u - needed * needed;
        var readings = MoreReadingsFor(budget, surplus);
        BudgetLine? line = null;
        foreach (var candidate in budget.Lines)
        {
            if (candidate.Input.Kind == EvaluationKind.TypeB && candidate.Contribution > (line?.Contribution ?? 0))
                line = candidate;
        }
        double? lineNeeded = null;
        if (line is { } l && l.Contribution * l.Contribution > surplus && l.Sensitivity != 0)
            lineNeeded = Math.Sqrt(l.Contribution * l.Contribution - surplus) / Math.Abs(l.Sensitivity);
        return new(needed, readings, line, lineNeeded, Advice(needed, u, readings, line, lineNeeded, judgement.Limit));
    }

    /// <summary>Largest u at which the same value is decided, by halving: the verdict changes once.</summary>
    private static double? NeededFor(Estimate estimate, Judgement judgement, DecisionRule rule)
    {
        double decided = 0,
            undecided = estimate.StandardUncertainty;
        if (!IsDecided(undecided * 1e-9))
            return null;
        for (var i = 0; i < Halvings; i++)
        {
            var middle = (decided + undecided) / 2;
            if (IsDecided(middle))
                decided = middle;
            else
                undecided = middle;
        }
        return decided;

        bool IsDecided(double u) =>
            Conformity
                .Judge(estimate with { StandardUncertainty = u }, judgement.CoverageFactor, judgement.Limit, rule)
                .Verdict
                is Verdict.Pass
                    or Verdict.Fail;
    }

    private static double? MoreReadingsFor(Budget budget, double surplus)
    {
        double scatter = 0,
            readings = 0;
        foreach (var line in budget.Lines)
        {
            if (line.Input is not { Kind: EvaluationKind.TypeA, Readings: > 0 })
                continue;
            scatter += line.Contribution * line.Contribution;
            readings = Math.Max(readings, line.Input.Readings);
        }
        return scatter > surplus ? Math.Ceiling(readings * scatter / (scatter - surplus)) : null;
    }

    private static string Advice(
        double needed,
        double u,
        double? readings,
        BudgetLine? line,
        double? lineNeeded,
        ToleranceLimit limit
    )
    {
        var (symbol, factor) = limit.Shown;
        var unit = symbol.Length == 0 ? "" : " " + symbol;
        var head =
            $"A standard uncertainty of {Figures.Of(needed * factor)}{unit} would decide it; it is {Figures.Of(u * factor)}{unit} now.";
        var more = readings is { } n ? $" About {n:0} readings in all would be enough." : "";
        var meter = line is not { } l
            ? ""
            : $" The largest other line is \"{l.Input.Name}\"{(l.Input.Instrument.Length > 0 ? $" ({l.Input.Instrument})" : "")}"
                + (
                    lineNeeded is { } v
                        ? $"; with u = {Figures.Of(v)} instead of {Figures.Of(l.Input.StandardUncertainty)} there it would be decided."
                        : ", which alone would not be enough."
                );
        return head + more + meter;
    }
}
