using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Decision;

/// <summary>Which decision rule stands between a measured value and a verdict.</summary>
public enum DecisionRuleKind
{
    /// <summary>The measured value alone against the limit.</summary>
    SimpleAcceptance,

    /// <summary>Guard band w = r·U on both sides of each limit.</summary>
    GuardBand,

    /// <summary>Pass or fail only when the risk of being wrong about this item is at most a chosen one.</summary>
    SpecificRisk,

    /// <summary>Guard band at which at most a chosen part of all items is passed though it does not conform.</summary>
    GlobalRisk,

    /// <summary>Simple acceptance while TUR is at least 4:1, otherwise a guard band w = U.</summary>
    FourToOne,
}

/// <summary>How a measured value and its uncertainty become a verdict; agreed before the measurement.</summary>
/// <remarks>ISO/IEC 17025:2017, 7.1.3 (agreed beforehand) and 7.8.6; ILAC-G8:09/2019, 4.2.</remarks>
public sealed record DecisionRule
{
    /// <summary>Test uncertainty ratio from which the 4:1 rule accepts without guard band.</summary>
    public const double FourToOneRatio = 4;

    private DecisionRule(DecisionRuleKind kind, double parameter, Estimate? population = null)
    {
        Kind = kind;
        Parameter = parameter;
        Population = population;
    }

    /// <summary>Kind of the rule.</summary>
    public DecisionRuleKind Kind { get; }

    /// <summary>r of a guard band w = r·U, or the largest risk allowed; zero otherwise.</summary>
    public double Parameter { get; }

    /// <summary>Mean and standard deviation of the items a global risk counts over; null for the other rules.</summary>
    public Estimate? Population { get; }

    /// <summary>The measured value alone decides; risk up to 50 % at the limit (ILAC-G8:09/2019, 4.2.1).</summary>
    public static DecisionRule SimpleAcceptance { get; } = new(DecisionRuleKind.SimpleAcceptance, 0);

    /// <summary>Guard band w = U (ILAC-G8:09/2019, 4.2.2): risk at most 2.5 % for k = 2.</summary>
    public static DecisionRule GuardBandU { get; } = new(DecisionRuleKind.GuardBand, 1);

    /// <summary>Simple acceptance when TUR is 4:1 or better, otherwise w = U (ANSI/NCSL Z540.3-2006, 5.3 b).</summary>
    public static DecisionRule FourToOne { get; } = new(DecisionRuleKind.FourToOne, 0);

    /// <summary>Guard band w = r·U.</summary>
    /// <param name="ratio">r, zero or more; 0.83 keeps the risk under 5 %, 1.5 under 0.16 %, 3 under 1 in 10⁶ (k = 2).</param>
    public static DecisionRule GuardBand(double ratio) =>
        new(DecisionRuleKind.GuardBand, Guard.NotNegative(ratio, "Decision rule", "guard band ratio"));

    /// <summary>Pass and fail only with at most this risk of being wrong about this item.</summary>
    /// <param name="largestRisk">Largest probability allowed, above 0 and below 0.5.</param>
    public static DecisionRule SpecificRisk(double largestRisk)
    {
        Guard.Require(
            largestRisk is > 0 and < 0.5,
            $"Decision rule: a specific risk of {largestRisk} was asked for; it must be above 0 and below 0.5."
        );
        return new(DecisionRuleKind.SpecificRisk, largestRisk);
    }

    /// <summary>Guard band that keeps the risk over all items like these at most at the one chosen.</summary>
    /// <param name="population">Mean and standard deviation of the items' true values, from history; the deviation above zero.</param>
    /// <param name="largestRisk">Largest part passed that does not conform, above 0 and below 0.5; 0.02 by ANSI/NCSL Z540.3, 5.3 b.</param>
    /// <remarks>JCGM 106:2012, 9.5; see <see cref="Decision.GlobalRisk.GuardBandFor"/>.</remarks>
    public static DecisionRule GlobalRisk(Estimate population, double largestRisk)
    {
        Guard.Finite(population.Value, "Decision rule", "mean of the items");
        Guard.Positive(population.StandardUncertainty, "Decision rule", "standard deviation of the items");
        Guard.Require(
            largestRisk is > 0 and < 0.5,
            $"Decision rule: a global risk of {largestRisk} was asked for; it must be above 0 and below 0.5."
        );
        return new(DecisionRuleKind.GlobalRisk, largestRisk, population);
    }

    /// <summary>Guard band w in the unit of the result, or null when the rule has no fixed one.</summary>
    internal double? GuardBandWidth(double standardUncertainty, double expanded, double? tur, ToleranceLimit limit) =>
        Kind switch
        {
            DecisionRuleKind.GlobalRisk when standardUncertainty > 0 => Decision.GlobalRisk.GuardBandFor(
                Population!.Value,
                standardUncertainty,
                limit,
                Parameter
            ),
            DecisionRuleKind.GlobalRisk => 0,
            DecisionRuleKind.SimpleAcceptance => 0,
            DecisionRuleKind.GuardBand => Parameter * expanded,
            DecisionRuleKind.FourToOne => tur >= FourToOneRatio ? 0 : expanded,
            _ => null,
        };

    /// <summary>The rule in words, for the record.</summary>
    public override string ToString() =>
        Kind switch
        {
            DecisionRuleKind.SimpleAcceptance => "simple acceptance (guard band 0)",
            DecisionRuleKind.GuardBand when Parameter == 1 => "guard band w = U",
            DecisionRuleKind.GuardBand => $"guard band w = {Figures.Of(Parameter, 4)} U",
            DecisionRuleKind.SpecificRisk => $"specific risk at most {Figures.Of(Parameter * 100, 4)} %",
            DecisionRuleKind.GlobalRisk =>
                $"guard band for a global risk of at most {Figures.Of(Parameter * 100, 4)} % among items of mean {Figures.Of(Population!.Value.Value, 5)} and standard deviation {Figures.Of(Population.Value.StandardUncertainty, 3)}",
            _ => "simple acceptance when TUR is at least 4:1, otherwise guard band w = U",
        };
}
