using System.Text.Json.Nodes;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.Curves;

/// <summary>A fitted curve for a program that reads JSON.</summary>
internal static class CurveJson
{
    /// <summary>Model, reason, results, points and findings; what the data cannot say is null.</summary>
    public static JsonObject Of(FittedCurve fitted)
    {
        var curve = fitted.Curve;
        return new JsonObject
        {
            ["name"] = fitted.Given.Name,
            ["file"] = fitted.Given.Place.File,
            ["line"] = fitted.Given.Place.Line,
            ["model"] = curve.ModelName,
            ["reason"] = curve.Reason,
            ["coverage"] = curve.Coverage,
            ["results"] = new JsonArray([.. curve.Results.Select(Result)]),
            ["points"] = new JsonArray([.. curve.Points.Select(Point)]),
            ["weighed"] = new JsonArray([.. curve.Candidates.Select(Weighed)]),
            ["findings"] = new JsonArray([.. curve.Findings.Select(f => (JsonNode)JsonValue.Create(f))]),
        };
    }

    private static JsonNode Result(CurveResult result) =>
        new JsonObject
        {
            ["name"] = result.Name,
            ["value"] = Number(result.Value),
            ["unit"] = result.Unit,
            ["standardUncertainty"] = Number(result.StandardUncertainty),
            ["degreesOfFreedom"] = Number(result.DegreesOfFreedom),
            ["extrapolated"] = result.IsExtrapolated,
            ["note"] = result.Note,
        };

    private static JsonNode Point(CurvePoint point) =>
        new JsonObject
        {
            ["amperes"] = Number(point.Amperes),
            ["volts"] = Number(point.Volts),
            ["residualAmperes"] = Number(point.ResidualAmperes),
            ["residualVolts"] = Number(point.ResidualVolts),
            ["outlier"] = point.IsOutlier,
            ["setAside"] = point.IsSetAside,
        };

    private static JsonNode Weighed(ModelCandidate candidate) =>
        new JsonObject
        {
            ["model"] = candidate.Name,
            ["criterion"] = Number(candidate.Criterion),
            ["remark"] = candidate.Remark,
        };

    private static JsonNode? Number(double? value) =>
        value is { } number && double.IsFinite(number) ? JsonValue.Create(number) : null;
}
