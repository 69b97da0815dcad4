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
            VoltAmpModel.DroopedLine => "line with engine droop",
            VoltAmpModel.DroopedKnee => "sharp knee with engine droop",
            _ => "monotone interpolation",
        };

    /// <summary>What stands in place of a shape where none fits.</summary>
    public const string NoShape = "no shape fits";

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
