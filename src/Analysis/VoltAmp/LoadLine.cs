namespace LoadTest.Analysis.VoltAmp;

/// <summary>Load voltage as a function of load current: a straight line, level above a last current.</summary>
/// <param name="Name">Name shown beside results.</param>
/// <param name="Intercept">Volts at no current, V.</param>
/// <param name="VoltsPerAmpere">Rise, V/A, zero or above.</param>
/// <param name="LevelAbove">Current above which the voltage stays level, A; infinity for never.</param>
/// <param name="Status">Where the line comes from and how far it can be trusted.</param>
/// <remarks>The conventional lines are those of IEC 60974-1, 11.2, from memory except where the status says otherwise: check your copy;
/// the nameplate's own rated volts come first. Covered electrode at 250 A: 20 + 0.04 · 250 = 30 V.</remarks>
public sealed record LoadLine(string Name, double Intercept, double VoltsPerAmpere, double LevelAbove, string Status)
{
    private const string FromMemory = "IEC 60974-1, 11.2, from memory: check your copy";

    /// <summary>Manual metal arc, covered electrode: U = 20 + 0.04 I, 44 V above 600 A.</summary>
    public static LoadLine CoveredElectrode { get; } = new("MMA", 20, 0.04, 600, FromMemory);

    /// <summary>Tungsten inert gas: U = 10 + 0.04 I, 34 V above 600 A.</summary>
    public static LoadLine Tig { get; } = new("TIG", 10, 0.04, 600, FromMemory);

    /// <summary>Metal inert or active gas and flux-cored: U = 14 + 0.05 I, 44 V above 600 A.</summary>
    public static LoadLine MigMag { get; } =
        new(
            "MIG/MAG",
            14,
            0.05,
            600,
            "formula published (attributed to IEC 60974-1), level part from memory: check your copy"
        );

    /// <summary>Submerged arc: U = 20 + 0.04 I, 44 V above 600 A.</summary>
    public static LoadLine SubmergedArc { get; } = new("SAW", 20, 0.04, 600, FromMemory);

    /// <summary>The four conventional lines.</summary>
    public static IReadOnlyList<LoadLine> Conventional { get; } = [CoveredElectrode, Tig, MigMag, SubmergedArc];

    /// <summary>A line the user gives.</summary>
    /// <param name="name">Name shown beside results.</param>
    /// <param name="intercept">Volts at no current, V.</param>
    /// <param name="voltsPerAmpere">Rise, V/A, zero or above.</param>
    /// <param name="levelAbove">Current above which the voltage stays level, A.</param>
    /// <exception cref="ArgumentException">A value is not finite, or the line falls.</exception>
    public static LoadLine Given(
        string name,
        double intercept,
        double voltsPerAmpere,
        double levelAbove = double.PositiveInfinity
    )
    {
        if (
            !Analysis.Given.IsNumber(intercept)
            || !(voltsPerAmpere >= 0)
            || !Analysis.Given.IsNumber(voltsPerAmpere)
            || !(levelAbove > 0)
        )
        {
            throw new ArgumentException(
                $"Load line {name}: {Figures.With(intercept, "V")} + {Figures.With(voltsPerAmpere, "V/A")}, level above {Figures.With(levelAbove, "A")}. The volts must be finite, the rise 0 V/A or more, the level current above 0 A.",
                nameof(voltsPerAmpere)
            );
        }

        return new LoadLine(name, intercept, voltsPerAmpere, levelAbove, "given by the user");
    }

    /// <summary>The resistance that draws the rated current at the rated voltage: U = (rated volts / rated amperes) · I.</summary>
    /// <param name="ratedAmperes">Rated current of the nameplate, A, above zero.</param>
    /// <param name="ratedVolts">Rated load voltage of the nameplate, V, above zero.</param>
    /// <exception cref="ArgumentException">A rating is not finite and above zero.</exception>
    public static LoadLine ThroughRatedPoint(double ratedAmperes, double ratedVolts)
    {
        if (
            !(ratedAmperes > 0)
            || !(ratedVolts > 0)
            || !Analysis.Given.IsNumber(ratedAmperes)
            || !Analysis.Given.IsNumber(ratedVolts)
        )
        {
            throw new ArgumentException(
                $"Rated point {Figures.With(ratedAmperes, "A")}, {Figures.With(ratedVolts, "V")}: both must be finite and above 0.",
                nameof(ratedAmperes)
            );
        }

        return new LoadLine(
            "rated point",
            0,
            ratedVolts / ratedAmperes,
            double.PositiveInfinity,
            "nameplate: the resistance through the rated point"
        );
    }

    /// <summary>Load voltage at a current, V.</summary>
    public double Volts(double amperes)
    {
        Analysis.Given.Finite($"Load line {Name}: the current", amperes, "A");
        return Intercept + (VoltsPerAmpere * Math.Min(amperes, LevelAbove));
    }
}
