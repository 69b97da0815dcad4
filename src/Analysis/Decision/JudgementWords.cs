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
        var result =
            $"{Figures.To(e.Value * factor, j.Expanded * factor)}{unit}, U = {Figures.To(j.Expanded * factor, j.Expanded * factor)}{unit} (k = {j.CoverageFactor:0.00})";
        var reason = j.Verdict switch
        {
            Verdict.Pass => $"Pass: {result} is {margin}.",
            Verdict.Fail => $"Fail: {result} is {margin}.",
            _ when double.IsNaN(j.AcceptanceLower) =>
                $"Undecided: {result} is {margin}; with this uncertainty no value inside the limit could pass.",
            _ =>
                $"Undecided: {result} is {margin}, closer than the guard band of {Figures.To(j.GuardBand * factor, j.Expanded * factor)}{unit}.",
        };
        var risk =
            j.Verdict == Verdict.Fail
                ? $"Probability that it conforms all the same: {Percent(j.RiskOfFailing)}."
                : $"Probability that it is outside all the same: {Percent(j.RiskOfPassing)}.";
        var ratio = j.TestUncertaintyRatio is { } tur ? $" TUR {tur:0.0}:1." : "";
        return $"{reason} {risk}{ratio} Rule: {j.Rule}.";
    }

    private static string Percent(double p) =>
        p switch
        {
            < 1e-6 => "below 0.0001 %",
            < 0.0001 => $"{p * 100:0.0000} %",
            _ => $"{p * 100:0.##} %",
        };
}
