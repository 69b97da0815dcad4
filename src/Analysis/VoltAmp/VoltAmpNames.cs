namespace LoadTest.Analysis.VoltAmp;

/// <summary>Words for shapes.</summary>
internal static class VoltAmpNames
{
    public static string Of(VoltAmpModel model) =>
        model switch
        {
            VoltAmpModel.StraightLine => "straight line",
            VoltAmpModel.SharpKnee => "sharp knee",
            VoltAmpModel.RoundedKnee => "rounded knee",
            VoltAmpModel.Ellipse => "ellipse",
            _ => "monotone interpolation",
        };

    /// <summary>The shape with what it says about the source.</summary>
    public static string Full(CurveFit fit, (double Amperes, double Volts)? knee)
    {
        var name = Of(fit.Model);
        if (knee is not { } corner)
        {
            return fit.Model == VoltAmpModel.Ellipse ? name + " (reactance-limited)" : name;
        }

        // Where the corner lies above the conventional load voltage, the load meets the falling branch and the machine sets amperes.
        return corner.Volts > LoadLine.CoveredElectrode.Volts(corner.Amperes)
            ? name + " (constant current with voltage limit)"
            : name + " (constant voltage with current limit)";
    }
}
