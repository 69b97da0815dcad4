using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>What the bank is asked to be: a resistance, or the current or power that a source which holds volts gives on it.</summary>
public abstract record LoadTarget
{
    private protected LoadTarget() { }

    /// <summary>Resistance that meets the wish on this source.</summary>
    /// <exception cref="ArgumentException">The wish has no resistance on this source; the message says why.</exception>
    public abstract Ohms ResistanceOn(SourceCharacteristic source);

    private protected static double Checked(string what, double value, string unit)
    {
        if (!Given.IsNumber(value) || value <= 0)
        {
            throw new ArgumentException(
                $"The wanted {what} is {Figures.Of(value, 6)} {unit}. It has to be finite and above zero."
            );
        }

        return value;
    }

    private protected static ArgumentException OnlyResistance(string what) =>
        new(
            $"A {what} was wanted from a constant-current source. Its control sets the amperes, the bank only the volts: "
                + "ask for a resistance, and for the setting by hand or by remote."
        );
}

/// <summary>A wanted resistance at the bank.</summary>
/// <param name="Wanted">Ω, finite and above zero.</param>
public sealed record WantedResistance(Ohms Wanted) : LoadTarget
{
    /// <inheritdoc/>
    public override Ohms ResistanceOn(SourceCharacteristic source) => new(Checked("resistance", Wanted.Value, "Ω"));
}

/// <summary>A wanted current, for sources whose amperes the load sets.</summary>
/// <param name="Wanted">A, finite and above zero.</param>
/// <remarks>Constant voltage: R = U/I. Drooping: R = OCV/I − slope. 28 V and 280 A: 0.1 Ω.</remarks>
public sealed record WantedCurrent(Amperes Wanted) : LoadTarget
{
    /// <inheritdoc/>
    public override Ohms ResistanceOn(SourceCharacteristic source)
    {
        var amperes = Checked("current", Wanted.Value, "A");
        switch (source)
        {
            case ConstantVoltage holding when amperes <= holding.Limit.Value:
                return new(holding.Set.Value / amperes);
            case ConstantVoltage holding:
                throw new ArgumentException(
                    $"{Wanted} was wanted from a source that limits at {holding.Limit}. Ask for no more than that."
                );
            case Drooping drooping when drooping.Slope.Value * amperes < drooping.Ceiling.Value:
                return new(drooping.Ceiling.Value / amperes - drooping.Slope.Value);
            case Drooping drooping:
                throw new ArgumentException(
                    $"{Wanted} was wanted from a source that gives {Figures.With(drooping.Ceiling.Value / drooping.Slope.Value, "A")} "
                        + "into a short circuit. Ask for less than that."
                );
            default:
                throw OnlyResistance("current");
        }
    }
}

/// <summary>A wanted power in the bank, for sources whose amperes the load sets.</summary>
/// <param name="Wanted">W, finite and above zero.</param>
/// <remarks>
/// Constant voltage: R = U²/P. Drooping: the higher root of P·(R + r)² = OCV²·R, which has the lower current.
/// 28 V and 7840 W: 0.1 Ω.
/// </remarks>
public sealed record WantedPower(Watts Wanted) : LoadTarget
{
    /// <inheritdoc/>
    public override Ohms ResistanceOn(SourceCharacteristic source)
    {
        var watts = Checked("power", Wanted.Value, "W");
        switch (source)
        {
            case ConstantVoltage holding when watts <= holding.Set.Value * holding.Limit.Value:
                return new(holding.Set.Value * holding.Set.Value / watts);
            case ConstantVoltage holding:
                throw new ArgumentException(
                    $"{Wanted} was wanted from a source of {holding.Set} that limits at {holding.Limit}. "
                        + $"Ask for no more than {Figures.With(holding.Set.Value * holding.Limit.Value, "W")}."
                );
            case Drooping drooping:
                return OnLine(watts, drooping);
            default:
                throw OnlyResistance("power");
        }
    }

    private Ohms OnLine(double watts, Drooping source)
    {
        var half = source.Ceiling.Value * source.Ceiling.Value / (2 * watts) - source.Slope.Value;
        var root = half * half - source.Slope.Value * source.Slope.Value;
        if (half <= 0 || root < 0)
        {
            throw new ArgumentException(
                $"{Wanted} was wanted from a source that gives at most "
                    + $"{Figures.With(source.Ceiling.Value * source.Ceiling.Value / (4 * source.Slope.Value), "W")}. Ask for no more."
            );
        }

        return new(half + Math.Sqrt(root));
    }
}
