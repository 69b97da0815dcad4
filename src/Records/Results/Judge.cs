using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>Holds results against the resolved limits of a plan by the profile's decision rule.</summary>
internal sealed class Judge
{
    private readonly DecisionRule _rule;

    /// <summary>Takes rule and coverage probability from the profile.</summary>
    public Judge(DecisionText decision)
    {
        Coverage = decision.Coverage;
        _rule =
            decision.Form == DecisionForm.SimpleAcceptance
                ? DecisionRule.SimpleAcceptance
                : DecisionRule.GuardBand(decision.Factor);
    }

    /// <summary>Coverage probability of every expanded uncertainty.</summary>
    public double Coverage { get; }

    /// <summary>The rule in words.</summary>
    public string Rule => $"{_rule}, U at {Figures.Of(Coverage * 100, 5)} % coverage";

    /// <summary>Judges a budget; the limit's bounds are multiplied by the setting where they are relative to it.</summary>
    public JudgedResult Of(
        string name,
        ResolvedLimit limit,
        Condition condition,
        Unit unit,
        Budget? budget,
        double setting,
        string missing,
        int? step = null
    )
    {
        var tolerance = Tolerance(limit, setting, unit);
        var judgement =
            budget is null ? Conformity.NotTested(tolerance, missing)
            : budget.Combined.DegreesOfFreedom < 1
                ? Conformity.NotTested(
                    tolerance,
                    "The readings behind it are too few for an expanded uncertainty. Take more readings."
                )
            : Conformity.Judge(budget, tolerance, _rule);
        return new JudgedResult(
            name,
            step,
            limit.Measurand,
            condition,
            limit,
            unit,
            limit.PredictedUncertainty * (limit.IsRelativeToSetting ? setting : 1),
            judgement,
            budget,
            IsSuperseded: false
        );
    }

    private static ToleranceLimit Tolerance(ResolvedLimit limit, double setting, Unit unit)
    {
        var factor = limit.IsRelativeToSetting ? setting : 1;
        var symbol = ResultWords.Symbol(unit);
        var tolerance = (limit.Lower * factor, limit.Upper * factor) switch
        {
            ({ } lower, { } upper) => ToleranceLimit.TwoSided(lower, upper, symbol),
            ({ } lower, null) => ToleranceLimit.AtLeast(lower, symbol),
            (null, { } upper) => ToleranceLimit.AtMost(upper, symbol),
            _ => throw new ArgumentException($"The limit \"{limit.Text}\" has neither bound.", nameof(limit)),
        };
        return tolerance with { Shown = ResultWords.Shown(unit) };
    }
}
