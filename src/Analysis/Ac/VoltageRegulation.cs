namespace LoadTest.Analysis.Ac;

/// <summary>Voltage regulation by its three definitions, each under its own name; all as ratios, 0.05 is 5 %.</summary>
/// <remarks>Readings of one meter share its gain error: give their correlation, JCGM 100:2008, 5.2.2.</remarks>
public static class VoltageRegulation
{
    /// <summary>Rise from full load to no load, over the full-load voltage.</summary>
    /// <param name="noLoad">V at no load.</param>
    /// <param name="fullLoad">V at full load, above zero.</param>
    /// <param name="correlation">Correlation of the two readings, −1 to 1.</param>
    /// <remarks>(U_nl − U_fl)/U_fl: machine textbooks. 129 V and 115 V: 0.1217.</remarks>
    public static Estimate NoLoadToFullLoad(Estimate noLoad, Estimate fullLoad, double correlation = 0)
    {
        Check(noLoad, "no-load voltage");
        Check(fullLoad, "full-load voltage");
        CheckCorrelation(correlation);
        var ratio = noLoad.Value / fullLoad.Value;
        var free = Combined.Ratio(noLoad, fullLoad);
        var (a, b) = (
            noLoad.StandardUncertainty / fullLoad.Value,
            -ratio * fullLoad.StandardUncertainty / fullLoad.Value
        );
        var variance = a * a + b * b + 2 * correlation * a * b;
        return free with { Value = ratio - 1, StandardUncertainty = Math.Sqrt(Math.Max(0, variance)) };
    }

    /// <summary>Half the band between the highest and the lowest voltage from no load to full load, over the rated voltage.</summary>
    /// <param name="voltages">V at no load, full load and as many between as were taken; at least two.</param>
    /// <param name="rated">Rated V, above zero.</param>
    /// <param name="correlation">Correlation between the two readings that count, −1 to 1.</param>
    /// <remarks>± (U_max − U_min)/(2·U_r): ISO 8528-5 (from memory: check your copy). 129 V, 115 V, rated 120 V: ± 0.0583.</remarks>
    public static Estimate SteadyStateBand(IReadOnlyList<Estimate> voltages, double rated, double correlation = 0)
    {
        ArgumentNullException.ThrowIfNull(voltages);
        CheckAll(voltages, rated, least: 2);
        CheckCorrelation(correlation);
        var (most, least) = (voltages.MaxBy(v => v.Value), voltages.MinBy(v => v.Value));
        var difference = Combined.Difference(most, least);
        var variance =
            difference.StandardUncertainty * difference.StandardUncertainty
            - 2 * correlation * most.StandardUncertainty * least.StandardUncertainty;
        return difference with
        {
            Value = difference.Value / (2 * rated),
            StandardUncertainty = Math.Sqrt(Math.Max(0, variance)) / (2 * rated),
        };
    }

    /// <summary>Largest departure from the rated voltage, with its sign, over the rated voltage.</summary>
    /// <param name="voltages">V at the loads taken; at least one.</param>
    /// <param name="rated">Rated V, above zero.</param>
    /// <remarks>(U − U_r)/U_r of the largest magnitude: common practice, no source. 129 V and 115 V at 120 V: +0.075.</remarks>
    public static Estimate LargestFromRated(IReadOnlyList<Estimate> voltages, double rated)
    {
        ArgumentNullException.ThrowIfNull(voltages);
        CheckAll(voltages, rated, least: 1);
        var far = voltages.MaxBy(v => Math.Abs(v.Value - rated));
        return far with { Value = (far.Value - rated) / rated, StandardUncertainty = far.StandardUncertainty / rated };
    }

    private static void CheckAll(IReadOnlyList<Estimate> voltages, double rated, int least)
    {
        Given.Positive("Rated voltage", rated, "V");
        if (voltages.Count < least)
        {
            throw new ArgumentException($"{voltages.Count} voltages were given; at least {least} are needed.");
        }

        foreach (var voltage in voltages)
        {
            Check(voltage, "voltage");
        }
    }

    private static void Check(Estimate voltage, string what)
    {
        Given.Estimate(what, voltage, "V");
        Given.Positive(what, voltage.Value, "V");
    }

    private static void CheckCorrelation(double correlation)
    {
        if (!(Math.Abs(correlation) <= 1))
        {
            throw new ArgumentException(
                $"A correlation of {Figures.Of(correlation, 6)} was given; −1 to 1 is allowed."
            );
        }
    }
}
