using System.Text.Json;
using LoadTest.Analysis.Heat;
using LoadTest.Records.Measuring;
using LoadTest.Records.Results;

namespace LoadTest.Records.Writing;

/// <summary>Heat runs, transients and what was read beside the weld output, in <c>record.json</c>.</summary>
internal static class LongStepJson
{
    /// <summary>What was read beside the weld output at a point; nothing is written when nothing was.</summary>
    public static void Beside(Utf8JsonWriter json, MeasuredPoint point)
    {
        foreach (var (role, measured) in point.Beside.OrderBy(b => b.Key))
            json.Estimate(BesideRoles.Word(role), measured.Estimate, BesideRoles.Symbol(role));
    }

    /// <summary>A heat run; nothing is written when the group is none.</summary>
    public static void Write(Utf8JsonWriter json, HeatResult? heat)
    {
        if (heat is null)
            return;
        json.WriteStartObject("heat run");
        json.Time("length, s", heat.Length);
        json.Number("largest part of ten minutes under load", heat.WorstDuty);
        json.Estimate("unit temperature rise", heat.Rise?.Combined, "K");
        json.WriteString("equilibrium", heat.Equilibrium?.Words);
        json.Estimate("slope at the end", heat.Equilibrium?.KelvinPerHour, "K/h");
        var curve = (heat.WarmUp as WarmUpFound)?.Curve;
        json.Estimate("time constant, estimated", curve?.TimeConstantSeconds, "s");
        json.Estimate("temperature it tends to, estimated", heat.Final, "°C");
        json.Objects(
            "temperatures taken",
            heat.Minutes.Zip(heat.Celsius),
            static (j, t) =>
            {
                j.Number("minutes", t.First);
                j.Number("celsius", t.Second);
            }
        );
        json.WriteEndObject();
    }

    /// <summary>A transient; nothing is written when the group is none.</summary>
    public static void Write(Utf8JsonWriter json, TransientResult? transient)
    {
        if (transient is null)
            return;
        json.WriteStartObject("transient");
        json.WriteString("channel", transient.Channel);
        json.WriteNumber("samples", transient.Seconds.Length);
        json.Number("steady band, half-width", transient.Band);
        json.Estimate("before", transient.Response?.Before, transient.Unit);
        json.Estimate("new steady value", transient.Response?.Settled, transient.Unit);
        json.Estimate("dip", transient.Response?.Dip, "");
        json.Estimate("overshoot", transient.Response?.Overshoot, "");
        json.Estimate("recovery", transient.Response?.RecoverySeconds, "s");
        json.WriteEndObject();
    }
}
