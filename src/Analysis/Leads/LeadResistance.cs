using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Leads;

/// <summary>Resistance of leads, lugs and contacts between two sense points.</summary>
public static class LeadResistance
{
    /// <summary>Resistance of an annealed copper lead rises by this part for each kelvin at 20 °C.</summary>
    public const double CopperPerKelvin = 0.00393;

    /// <summary>(Stud volts − bank volts)/current, both ways of the circuit together, Ω.</summary>
    /// <param name="studs">V at the unit's studs.</param>
    /// <param name="bank">V at the bank's bars, read at the same time.</param>
    /// <param name="amperes">A through the leads, above three standard uncertainties.</param>
    /// <param name="correlation">Correlation of the two voltages, −1 to 1; near 1 when one meter was moved between them.</param>
    /// <exception cref="ArgumentException">A reading is missing or the current too small to divide by.</exception>
    /// <remarks>
    /// Ohm's law; u by JCGM 100:2008, 5.2.2, with the correlation of the voltages. Negative when the sense points are swapped.
    /// Worked: 32.00 V and 31.40 V at 300 A: 2.00 mΩ; with u = 0.02 V each and r = 0: u = 0.094 mΩ.
    /// </remarks>
    public static Estimate Of(Estimate studs, Estimate bank, Estimate amperes, double correlation = 0)
    {
        Given.Estimate("Stud volts", studs, "V");
        Given.Estimate("Bank volts", bank, "V");
        Given.Estimate("Current", amperes, "A");
        if (!(Math.Abs(correlation) <= 1))
        {
            throw new ArgumentException(
                $"A correlation of {Figures.Of(correlation, 6)} was given; −1 to 1 is allowed."
            );
        }

        if (!(Math.Abs(amperes.Value) > 3 * amperes.StandardUncertainty) || amperes.Value == 0)
        {
            throw new ArgumentException(
                $"{Figures.With(amperes.Value, "A", 4)} with u = {Figures.With(amperes.StandardUncertainty, "A", 2)} is too little to find a lead's resistance by. "
                    + "Take the readings under load."
            );
        }

        var drop = Combined.Difference(studs, bank);
        var variance =
            drop.StandardUncertainty * drop.StandardUncertainty
            - 2 * correlation * studs.StandardUncertainty * bank.StandardUncertainty;
        return Combined.Ratio(drop with { StandardUncertainty = Math.Sqrt(Math.Max(0, variance)) }, amperes);
    }

    /// <summary>Heat in the leads at a current: I²·R. 300 A in 2 mΩ: 180 W.</summary>
    public static Watts Heat(Estimate ohms, Amperes current)
    {
        Given.Estimate("Lead resistance", ohms, "Ω");
        Given.Finite("Current", current.Value, "A");
        return new(ohms.Value * current.Value * current.Value);
    }
}
