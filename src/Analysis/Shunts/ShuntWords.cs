namespace LoadTest.Analysis.Shunts;

/// <summary>Findings of a shunt sweep in whole sentences.</summary>
internal static class ShuntWords
{
    public static void AddFindings(ShuntRatio r, List<string> findings)
    {
        var k = r.Budget.CoverageFactor;
        var gain = r.GainErrorPercent;
        var expanded = k * gain.StandardUncertainty;
        if (r.DeliveredErrorPercent is not { } delivered)
            findings.Add(
                "The drop falls when the current rises: the sense wires of one of the shunts or meters are swapped. Correct that before anything else."
            );
        else if (Math.Abs(gain.Value) > expanded)
            findings.Add(
                $"The shunt reads {Math.Abs(gain.Value):0.00} % {(gain.Value < 0 ? "low" : "high")} (U = {expanded:0.00} %): a machine regulated by it delivers {Math.Abs(delivered.Value):0.00} % {(delivered.Value > 0 ? "more" : "less")} current than its control asks for."
            );
        var offsetExpanded = r.OffsetBudget.Expanded;
        if (Math.Abs(r.Offset.Value) > offsetExpanded && Math.Abs(r.Offset.Value) > 1e-4 * r.Rating.RatedMillivolts)
            findings.Add(
                $"The line misses zero by {r.Offset.Value:+0.0000;−0.0000} mV (U = {offsetExpanded:0.0000} mV) after the zero readings: look for curvature, leakage current or a drifting thermal EMF."
            );
        if (r.Curvature is { IsSignificant: true } curvature)
            findings.Add(
                $"Drop against current is curved: {curvature.SagPercent.Value:+0.000;−0.000} % of rated drop at the middle (chance of that {curvature.Probability:0.000}). Self-heating bends it so."
            );
        if (r.Hysteresis is { IsSignificant: true, DifferencePercent: { } difference })
            findings.Add(
                $"Down differs from up by {difference.Value:+0.000;−0.000} % of rated drop at like currents: warm-up drift or a contact that changes."
            );
        findings.Add(
            r.WithinClass is { } index
                ? $"Within class {index:0.##} limits at these {r.Points.Count} points, uncertainty included (class series from memory: check your copy of IEC 60051-8)."
                : "Not shown to be within the limits of any class up to 1 at these points, uncertainty included."
        );
    }
}
