namespace LoadTest.Analysis.Ac;

/// <summary>How the maker's nameplate or manual takes rated power back with altitude and air temperature.</summary>
/// <param name="FreeMetres">Altitude up to which nothing is taken.</param>
/// <param name="PartPerStepOfMetres">Part of rated power taken for each altitude step above, as 0.035.</param>
/// <param name="StepMetres">Altitude step, m.</param>
/// <param name="FreeCelsius">Air temperature up to which nothing is taken.</param>
/// <param name="PartPerStepOfKelvin">Part of rated power taken for each temperature step above, as 0.02.</param>
/// <param name="StepKelvin">Temperature step, K.</param>
/// <remarks>
/// There is no general figure: engines differ by how they breathe, so every number comes from the maker and none is assumed.
/// The two factors are multiplied. Common practice, no source. Worked: 3.5 % for each 300 m above 1000 m and 2 % for each
/// 5.5 K above 40 °C, at 1600 m and 45.5 °C: 0.93 × 0.98 = 0.9114.
/// </remarks>
public sealed record Derating(
    double FreeMetres,
    double PartPerStepOfMetres,
    double StepMetres,
    double FreeCelsius,
    double PartPerStepOfKelvin,
    double StepKelvin
)
{
    /// <summary>Part of rated power left at a site, 0 to 1.</summary>
    /// <param name="metres">Altitude of the site, m.</param>
    /// <param name="celsius">Air at the inlet, °C, with uncertainty.</param>
    /// <exception cref="ArgumentException">A figure of the rule or the site is not finite or has the wrong sign.</exception>
    public Estimate FactorAt(double metres, Estimate celsius)
    {
        Given.Finite("Altitude", metres, "m");
        Given.Estimate("Air temperature", celsius, "°C");
        Given.Finite("Altitude without derating", FreeMetres, "m");
        Given.Finite("Temperature without derating", FreeCelsius, "°C");
        Given.NotNegative("Derating for each altitude step", PartPerStepOfMetres, "");
        Given.NotNegative("Derating for each temperature step", PartPerStepOfKelvin, "");
        Given.Positive("Altitude step", StepMetres, "m");
        Given.Positive("Temperature step", StepKelvin, "K");
        var high = 1 - PartPerStepOfMetres * Math.Max(0, metres - FreeMetres) / StepMetres;
        var slope = PartPerStepOfKelvin / StepKelvin;
        var warm = 1 - slope * Math.Max(0, celsius.Value - FreeCelsius);
        if (high <= 0 || warm <= 0)
        {
            return new Estimate(0, 0);
        }

        // Within its uncertainty of the corner the temperature may already take something.
        var counts = celsius.Value + celsius.StandardUncertainty > FreeCelsius;
        return Combined.Of(high * warm, [(celsius, counts ? high * slope : 0)]);
    }
}
