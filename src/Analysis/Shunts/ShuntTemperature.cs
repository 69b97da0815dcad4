using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Temperature of the unit's shunt during a sweep, and how its ratio is brought to the temperature it is rated at.</summary>
/// <param name="Celsius">Temperature of the shunt's body during the sweep, °C.</param>
/// <param name="HalfWidth">Half-width of what is known about that temperature, K, zero or more.</param>
/// <param name="Coefficient">Relative change of the ratio per kelvin, signed.</param>
/// <param name="CoefficientHalfWidth">Half-width of the coefficient, per kelvin, zero or more.</param>
/// <param name="ReferenceCelsius">Temperature the rating holds at, °C; 23 °C is usual (IEC 60051-1, from memory: check your copy).</param>
/// <remarks>
/// r_ref = r/(1 + α(T − T_ref)); u from the half-widths of T and α as rectangles (JCGM 100:2008, 4.3.7). Finished shunts with copper
/// terminals were measured at +93 to +106 ppm/K where bare manganin has ± 20 ppm/K, so α is given and not assumed. Worked
/// number: 0.1004 mV/A at 63 °C with +100 ppm/K is 0.1000 mV/A at 23 °C.
/// </remarks>
public sealed record ShuntTemperature(
    double Celsius,
    double HalfWidth,
    double Coefficient,
    double CoefficientHalfWidth,
    double ReferenceCelsius = 23
)
{
    internal double Away => Celsius - ReferenceCelsius;

    /// <summary>Ratio at the sweep's temperature over the ratio at the reference temperature.</summary>
    internal double Factor => 1 + Coefficient * Away;

    internal void Check()
    {
        const string Name = "Temperature of the unit's shunt";
        Guard.Finite(Celsius, Name, "temperature in °C");
        Guard.NotNegative(HalfWidth, Name, "half-width in K");
        Guard.Finite(Coefficient, Name, "coefficient per K");
        Guard.NotNegative(CoefficientHalfWidth, Name, "half-width of the coefficient per K");
        Guard.Finite(ReferenceCelsius, Name, "reference temperature in °C");
        Guard.Require(
            Math.Abs(Coefficient * Away) < 0.1,
            $"{Name}: {Figures.Of(Away, 4)} K away at {Figures.Of(Coefficient * 1e6, 4)} ppm/K changes the ratio by {Figures.Of(Coefficient * Away * 100, 3)} %; below 10 % is allowed. Check the coefficient's unit: it is per kelvin."
        );
    }

    /// <summary>Lines of the ratio's budget, relative.</summary>
    internal IEnumerable<UncertaintyInput> Lines()
    {
        if (Coefficient != 0 && HalfWidth > 0)
            yield return UncertaintyInput.FromHalfWidth(
                "temperature of the unit's shunt",
                value: 0,
                Math.Abs(Coefficient) * HalfWidth
            ) with
            {
                Component = Component.Temperature,
            };
        if (CoefficientHalfWidth > 0 && Away != 0)
            yield return UncertaintyInput.FromHalfWidth(
                "temperature coefficient of the unit's shunt",
                value: 0,
                CoefficientHalfWidth * Math.Abs(Away)
            ) with
            {
                Component = Component.TemperatureCoefficient,
            };
    }

    /// <summary>What was done, in a sentence.</summary>
    internal string Words =>
        $"Ratio and drops are brought from {Figures.Of(Celsius, 4)} °C to {Figures.Of(ReferenceCelsius, 4)} °C with {Coefficient * 1e6:+0.#;-0.#;0} ppm/K: {(1 / Factor - 1) * 100:+0.000;-0.000;0} %. The machine regulates with the shunt as warm as it is.";
}
