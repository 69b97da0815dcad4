using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>One switched resistor of a load bank with its DC ratings.</summary>
/// <param name="Id">Name on the bank, unique in it.</param>
/// <param name="Nominal">Resistance from the nameplate at the reference temperature, Ω, above zero.</param>
public sealed record LoadElement(string Id, Ohms Nominal)
{
    /// <summary>Relative half-width of the resistance tolerance, as 0.05 for ± 5 %; taken as a rectangular distribution.</summary>
    public double Tolerance { get; init; }

    /// <summary>Measured resistance in Ω, which then replaces the nominal one and its tolerance.</summary>
    public Estimate? Measured { get; init; }

    /// <summary>Rated continuous DC volts, or null when the plate does not say.</summary>
    public Volts? RatedVolts { get; init; }

    /// <summary>Rated continuous DC amperes of element and contactor, or null when the plate does not say.</summary>
    public Amperes? RatedAmperes { get; init; }

    /// <summary>Rated continuous power, or null when the plate does not say.</summary>
    public Watts? RatedWatts { get; init; }

    /// <summary>Overload it survives for a short time, or null when none is stated.</summary>
    public ShortTimeRating? ShortTime { get; init; }

    /// <summary>Relative change of resistance for each kelvin of warming, 1/K.</summary>
    public double TemperatureCoefficientPerKelvin { get; init; }

    /// <summary>Best known resistance: the measured one, else the nominal one.</summary>
    public Ohms Resistance => new(Measured?.Value ?? Nominal.Value);

    /// <summary>Resistance in Ω with its standard uncertainty.</summary>
    /// <remarks>Nominal with a half-width of a: u = a/√3 (JCGM 100:2008, 4.3.7). 1.6 Ω ± 5 %: u = 0.0462 Ω.</remarks>
    public Estimate ResistanceEstimate =>
        Measured ?? new Estimate(Nominal.Value, Nominal.Value * Tolerance / Math.Sqrt(3));

    /// <summary>Most volts it may carry for as long as you like, from whichever continuous rating binds first.</summary>
    /// <remarks>min(U_r, I_r·R, √(P_r·R)) with the best known resistance. 1.6 Ω rated 100 V and 4 kW: 80 V.</remarks>
    public Volts ContinuousVolts
    {
        get
        {
            var ohms = Resistance.Value;
            var volts = RatedVolts?.Value ?? double.PositiveInfinity;
            volts = Math.Min(volts, (RatedAmperes?.Value ?? double.PositiveInfinity) * ohms);
            return new(Math.Min(volts, Math.Sqrt((RatedWatts?.Value ?? double.PositiveInfinity) * ohms)));
        }
    }

    /// <summary>Most volts it may carry for this long: the short-time rating when it lasts, else the continuous one.</summary>
    /// <param name="duration">How long the volts may stand, zero or positive.</param>
    public Volts VoltsFor(TimeSpan duration)
    {
        var continuous = ContinuousVolts;
        return ShortTime is { } brief && duration <= brief.For && brief.Volts > continuous ? brief.Volts : continuous;
    }

    /// <summary>The same element warmer, its resistance moved by the temperature coefficient.</summary>
    /// <param name="rise">Warming above the temperature at which the resistance holds, K; finite.</param>
    /// <returns>An element whose measured resistance is R·(1 + α·ΔT), its relative uncertainty unchanged.</returns>
    /// <remarks>Linear coefficient, common practice for resistance alloys. 0.1 Ω, α = 0.0004/K, 250 K: 0.11 Ω.</remarks>
    public LoadElement Warmed(double rise)
    {
        Given.Finite($"Element {Id}: the warming", rise, "K");
        var factor = 1 + TemperatureCoefficientPerKelvin * rise;
        return Scaled(factor);
    }

    /// <summary>The same element with its resistance multiplied by a factor, relative uncertainty unchanged.</summary>
    /// <param name="factor">Finite and above zero.</param>
    public LoadElement Scaled(double factor)
    {
        if (!Given.IsNumber(factor) || factor <= 0)
        {
            throw new ArgumentOutOfRangeException(
                nameof(factor),
                factor,
                $"Element {Id}: a resistance factor of {Figures.Of(factor, 6)} was given. It has to be finite and above zero."
            );
        }

        var now = ResistanceEstimate;
        return this with
        {
            Measured = now with { Value = now.Value * factor, StandardUncertainty = now.StandardUncertainty * factor },
        };
    }
}
