namespace LoadTest.Analysis.DcQuality;

/// <summary>Direct voltage a diode bridge should give from its line voltage.</summary>
/// <remarks>
/// Textbooks of power electronics; drops and overlap come off the ideal mean. A wave that is not a sine has another ratio of
/// mean to rms: add its uncertainty to the line voltage's.
/// </remarks>
public static class Rectifier
{
    /// <summary>Mean over line-to-line rms of an ideal six-pulse bridge: 3√2/π = 1.3505.</summary>
    public const double SixPulseMean = 3 * 1.4142135623730951 / Math.PI;

    /// <summary>Mean over rms of an ideal single-phase bridge: 2√2/π = 0.9003.</summary>
    public const double TwoPulseMean = 2 * 1.4142135623730951 / Math.PI;

    /// <summary>Mean of a three-phase bridge into a conducting load, no smoothing capacitor.</summary>
    /// <param name="lineVolts">Line-to-line rms, V, above zero.</param>
    /// <param name="diodeVolts">Drop of one diode at that current, V; two conduct at a time.</param>
    /// <param name="commutationOhms">Reactance of one phase that commutates, ωL, Ω; zero to leave overlap out.</param>
    /// <param name="amperes">Direct current, A, from zero up.</param>
    /// <returns>V: 3√2/π·U − 2·U_D − 3/π·ωL·I.</returns>
    /// <remarks>60 V line to line without drops: 81.03 V; with 1 V diodes and 0.02 Ω at 200 A: 75.21 V.</remarks>
    public static Estimate SixPulse(Estimate lineVolts, Estimate diodeVolts, Estimate commutationOhms, Estimate amperes)
    {
        Check(lineVolts, diodeVolts);
        Given.Estimate("Commutation reactance", commutationOhms, "Ω");
        Given.NotNegative("Commutation reactance", commutationOhms.Value, "Ω");
        Given.Estimate("Direct current", amperes, "A");
        Given.NotNegative("Direct current", amperes.Value, "A");
        const double Overlap = 3 / Math.PI;
        return Combined.Of(
            SixPulseMean * lineVolts.Value - 2 * diodeVolts.Value - Overlap * commutationOhms.Value * amperes.Value,
            [
                (lineVolts, SixPulseMean),
                (diodeVolts, -2),
                (commutationOhms, -Overlap * amperes.Value),
                (amperes, -Overlap * commutationOhms.Value),
            ]
        );
    }

    /// <summary>Voltage of a three-phase or single-phase bridge with a smoothing capacitor at light load: the peak.</summary>
    /// <param name="lineVolts">Line-to-line rms, V, above zero.</param>
    /// <param name="diodeVolts">Drop of one diode, V; two conduct at a time.</param>
    /// <returns>V: √2·U − 2·U_D.</returns>
    /// <remarks>60 V line to line without drops: 84.85 V.</remarks>
    public static Estimate SmoothedLightLoad(Estimate lineVolts, Estimate diodeVolts)
    {
        Check(lineVolts, diodeVolts);
        return Combined.Of(
            Math.Sqrt(2) * lineVolts.Value - 2 * diodeVolts.Value,
            [(lineVolts, Math.Sqrt(2)), (diodeVolts, -2)]
        );
    }

    /// <summary>Mean of a single-phase bridge into a resistive load: 2√2/π·U − 2·U_D. 120 V without drops: 108.04 V.</summary>
    public static Estimate TwoPulse(Estimate volts, Estimate diodeVolts)
    {
        Check(volts, diodeVolts);
        return Combined.Of(
            TwoPulseMean * volts.Value - 2 * diodeVolts.Value,
            [(volts, TwoPulseMean), (diodeVolts, -2)]
        );
    }

    private static void Check(Estimate lineVolts, Estimate diodeVolts)
    {
        Given.Estimate("Line voltage", lineVolts, "V");
        Given.Positive("Line voltage", lineVolts.Value, "V");
        Given.Estimate("Diode drop", diodeVolts, "V");
        Given.NotNegative("Diode drop", diodeVolts.Value, "V");
    }
}
