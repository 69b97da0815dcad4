namespace LoadTest.Analysis.Decision;

/// <summary>The sentence a report prints under a verdict.</summary>
internal static class JudgementWords
{
    public static string For(Judgement j)
    {
        var (symbol, factor) = j.Limit.Shown;
        var unit = symbol.Length == 0 ? "" : " " + symbol;
        var e =
            j.Estimate ?? throw new ArgumentException("A judgement without estimate has words of its own.", nameof(j));
        var margin =
            $"{Figures.To(Math.Abs(j.Margin) * factor, j.Expanded * factor)}{unit} {(j.Margin >= 0 ? "inside" : "outside")} the limit ({j.Limit})";
        var result = $"{Stated.WithUncertainty(e.Value, j.Expanded, symbol, factor)}, k = {j.CoverageFactor:0.00},";
        var reason = j.Verdict switch
        {
            Verdict.Pass => $"Pass: {result} is {margin}.",
            Verdict.Fail => $"Fail: {result} is {margin}.",
            _ when double.IsNaN(j.AcceptanceLower) =>
                $"Undecided: {result} is {margin}; with this uncertainty no value inside the limit could pass.",
            _ =>
                $"Undecided: {result} is {margin}, closer than the guard band of {Figures.To(j.GuardBand * factor, j.Expanded * factor)}{unit}.",
        };
        var risk = j.Verdict switch
        {
            Verdict.Pass => $"Risk that a bad one is passed: {Stated.Chance(j.RiskOfPassing)}.",
            Verdict.Fail => $"Risk that a good one is failed: {Stated.Chance(j.RiskOfFailing)}.",
            _ => $"Probability that it conforms: {Stated.Chance(j.RiskOfFailing)}.",
        };
        var ratio = j.TestUncertaintyRatio is { } tur ? $" TUR {Stated.Ratio(tur)}." : "";
        return $"{reason} {risk}{ratio} Rule: {j.Rule}.";
    }
}
