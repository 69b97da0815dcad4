using System.Text.Json;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Journaling;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Writing;

/// <summary>Judged results and budgets in <c>record.json</c>.</summary>
internal static class JudgedJson
{
    /// <summary>One judged result with its budget.</summary>
    public static void Write(Utf8JsonWriter json, JudgedResult result)
    {
        var j = result.Judgement;
        var isTested = j.Estimate is not null;
        json.WriteString("name", result.Name);
        if (result.Step is { } step)
            json.WriteNumber("step", step);
        else
            json.WriteNull("step");
        json.WriteString("quantity", ResultWords.Of(result.Measurand));
        json.WriteString("condition", EnumWords<Condition>.Of(result.Condition));
        json.WriteString("verdict", ResultWords.Of(j.Verdict));
        json.YesNo("superseded by as left", result.IsSuperseded);
        json.Estimate("result", j.Estimate, ResultWords.Symbol(result.Unit));
        json.Number("coverage factor", isTested ? j.CoverageFactor : null);
        json.Number("expanded uncertainty", isTested ? j.Expanded : null);
        json.WriteStartObject("limit");
        json.WriteString("text", result.Limit.Text);
        json.WriteString("from", result.Limit.Source);
        json.Number("lower", Bound(j.Limit.Lower));
        json.Number("upper", Bound(j.Limit.Upper));
        json.WriteEndObject();
        json.Number("guard band", isTested ? j.GuardBand : null);
        json.Number("acceptance lower", Bound(j.AcceptanceLower));
        json.Number("acceptance upper", Bound(j.AcceptanceUpper));
        json.Number("test uncertainty ratio", j.TestUncertaintyRatio);
        json.Number("predicted standard uncertainty", result.Predicted);
        json.Number("probability of conformity", isTested ? j.RiskOfFailing : null);
        json.Number("risk that a bad one is passed", j.Verdict == Verdict.Pass ? j.RiskOfPassing : null);
        json.Number("risk that a good one is failed", j.Verdict == Verdict.Fail ? j.RiskOfFailing : null);
        json.WriteString("words", j.Words);
        json.Objects("budget", result.Budget?.Lines ?? [], Line);
    }

    private static void Line(Utf8JsonWriter json, BudgetLine line)
    {
        var input = line.Input;
        json.WriteString("input", input.Name);
        json.WriteString("component", input.Component.Name());
        json.WriteString("shared by", input.SharedBy);
        json.WriteString("evaluation", input.Kind == EvaluationKind.TypeA ? "A" : "B");
        json.WriteString("distribution", input.Distribution.Name());
        json.Number("standard uncertainty", input.StandardUncertainty);
        json.Number("degrees of freedom", input.DegreesOfFreedom);
        json.Number("sensitivity", line.Sensitivity);
        json.Number("contribution", line.Contribution);
    }

    // No bound, or no value that passes: null.
    private static double? Bound(double value) => double.IsFinite(value) ? value : null;
}
