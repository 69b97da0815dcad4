using System.Text.Json;
using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Records.Journaling;
using LoadTest.Records.Measuring;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Writing;

/// <summary>Groups of points in <c>record.json</c>.</summary>
internal static class GroupJson
{
    /// <summary>One group.</summary>
    public static void Write(Utf8JsonWriter json, GroupResult result)
    {
        var group = result.Group;
        json.WriteNumber("number", group.Number);
        json.WriteString("kind", EnumWords<GroupKind>.Of(group.Kind));
        json.WriteString("title", group.Title);
        json.WriteString("mode", group.Mode.Name);
        json.WriteString("characteristic", ResultWords.Of(group.Mode.Characteristic));
        json.WriteString("condition", EnumWords<Condition>.Of(group.Condition));
        json.WriteBoolean("known", result.IsKnown);
        json.Objects("points", result.Points, Point);
        Curve(json, result);
        Shunt(json, result.Shunt);
        json.Objects("set, indicated, actual", result.Agreement, Agreement);
        json.Estimate("drift", result.Drift, "");
        LongStepJson.Write(json, result.Heat);
        LongStepJson.Write(json, result.Transient);
        json.Sentences("findings", result.Findings);
    }

    private static void Point(Utf8JsonWriter json, MeasuredPoint point)
    {
        var state = point.Step.State;
        json.WriteNumber("step", point.Step.Number);
        json.WriteString("title", point.Step.Title);
        json.Number("setting", state.Setting.Value);
        json.WriteString("setting unit", ResultWords.Symbol(state.Setting.Unit));
        json.WriteString("elements", state.Elements.ToString());
        json.WriteNumber("direction", point.Step.Direction);
        json.Number("predicted volts", state.PredictedVolts.Value);
        json.Number("predicted amperes", state.PredictedAmperes.Value);
        json.Time("from, s", point.Window?.From);
        json.Time("to, s", point.Window?.To);
        json.YesNo("settled", point.Window?.HasSettled);
        json.WriteString("settling", point.Window?.Words);
        Measured(json, "volts", point.Volts);
        Measured(json, "amperes", point.Amperes);
        Measured(json, "unit shunt drop", point.UnitDrop);
        LongStepJson.Beside(json, point);
        json.Number("panel amperes", point.PanelAmperes);
        json.Number("panel volts", point.PanelVolts);
    }

    private static void Measured(Utf8JsonWriter json, string name, Measured? measured)
    {
        if (measured is null)
        {
            json.WriteNull(name);
            return;
        }
        json.WriteStartObject(name);
        json.Number("value", measured.Estimate.Value);
        json.WriteString("unit", measured.Budget.Unit);
        json.Number("standard uncertainty", measured.Estimate.StandardUncertainty);
        json.Number("degrees of freedom", measured.Estimate.DegreesOfFreedom);
        json.WriteNumber("readings", measured.Window.Count);
        json.Number("independent readings", measured.Window.EffectiveCount);
        json.Number("standard deviation as read", measured.Window.StandardDeviation);
        json.WriteNumber("outliers flagged", measured.Window.Outliers);
        json.WriteEndObject();
    }

    private static void Curve(Utf8JsonWriter json, GroupResult result)
    {
        if (result.Curve is not { } curve)
        {
            json.WriteNull("curve");
            return;
        }
        json.WriteStartObject("curve");
        json.WriteString("model", curve.ModelName);
        json.WriteString("reason", curve.Reason);
        json.Objects("results", curve.Results, Result);
        json.WriteEndObject();
    }

    private static void Result(Utf8JsonWriter json, CurveResult result)
    {
        json.WriteString("name", result.Name);
        json.Number("value", result.Value);
        json.WriteString("unit", result.Unit);
        json.Number("standard uncertainty", result.StandardUncertainty);
        json.WriteBoolean("extrapolated", result.IsExtrapolated);
        json.WriteString("note", result.Note);
    }

    private static void Shunt(Utf8JsonWriter json, ShuntRatio? shunt)
    {
        if (shunt is null)
        {
            json.WriteNull("shunt");
            return;
        }
        json.WriteStartObject("shunt");
        json.Number("rated ratio, mV/A", shunt.Rating.RatedRatio);
        json.Estimate("ratio", shunt.Ratio, "mV/A");
        json.Estimate("gain error", shunt.GainErrorPercent, "%");
        json.Estimate("error of delivered current", shunt.DeliveredErrorPercent, "%");
        json.Estimate("offset", shunt.Offset, "mV");
        json.Number("largest distance from the line, % of rated drop", shunt.NonlinearityPercent);
        json.Number("zero drift, mV", shunt.ZeroDriftMillivolts);
        json.Number("within class", shunt.WithinClass);
        json.Objects(
            "points",
            shunt.Points,
            static (j, p) =>
            {
                j.Number("amperes", p.Point.ReferenceAmperes);
                j.Number("millivolts", p.CorrectedMillivolts);
                j.Number("error, %", p.ErrorPercent);
                j.Number("expanded uncertainty, %", p.ExpandedPercent);
            }
        );
        json.WriteEndObject();
    }

    private static void Agreement(Utf8JsonWriter json, PanelAgreement agreement)
    {
        json.WriteNumber("step", agreement.Step);
        json.Number("set", agreement.Set);
        json.Number("indicated", agreement.Indicated.Value);
        json.Number("actual", agreement.Actual.Value);
        json.WriteString("suspect", EnumWords<Suspect>.Of(agreement.Comparison.Suspect));
        json.WriteString("words", agreement.Comparison.Words);
    }
}
