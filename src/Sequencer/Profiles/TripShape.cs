using System.Collections.Immutable;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>A bound at which the load is removed: <c>above A</c>, <c>below A</c>, or <c>below A or above B</c>.</summary>
internal sealed class TripShape(Measurand measurand, AmountRule rule) : ScalarShape<TripRule>
{
    private const string Above = "above ";
    private const string Below = "below ";

    /// <summary>The key <c>trip</c>; both upper limits must be given, none has a default.</summary>
    internal static readonly MappingShape<ImmutableArray<TripRule>> Trips = MakeTrips();

    internal override string Example => rule.Example;

    internal override string? Read(string text, Place place, out TripRule value)
    {
        value = new TripRule(measurand, null, null, place);
        Amount? above = null;
        Amount? below = null;
        foreach (var part in text.Split(" or "))
        {
            var isAbove = part.StartsWith(Above, StringComparison.Ordinal);
            if (!isAbove && !part.StartsWith(Below, StringComparison.Ordinal) || (isAbove ? above : below) is not null)
            {
                return $"`{QuantityText.Short(text)}` is not a trip. Write `above A`, `below A` or `below A or above B`, for example `{rule.Example}`.";
            }
            if (AmountText.Read(part[Above.Length..].Trim(), place, rule, out var amount) is { } why)
            {
                return why;
            }
            var most = Most(measurand, amount);
            if (!(amount.Value > 0) || amount.Value > most)
            {
                return $"`{QuantityText.Short(text)}` has a bound outside what is allowed, above 0, at most {UnitText.Show(most, amount.Unit)}; "
                    + $"beyond that it would protect nothing. Write for example `{rule.Example}`.";
            }
            (above, below) = isAbove ? (amount, below) : (above, amount);
        }
        if (above is not null && below is not null && above.Of == below.Of && !(below.Value < above.Value))
        {
            return $"`{QuantityText.Short(text)}` would always trip: its lower bound is not below its upper one.";
        }
        value = new TripRule(measurand, above, below, place);
        return null;
    }

    internal override JsonObject Schema(SchemaParts parts)
    {
        var amount = AmountShape.SchemaText(rule);
        return Pattern($"^((above|below) {amount}|below {amount} or above {amount}|above {amount} or below {amount})$");
    }

    // No unit this program tests lives beyond these; a slip of a prefix does.
    private static double Most(Measurand measurand, Amount amount) =>
        amount.Unit switch
        {
            Unit.Volt => measurand == Measurand.AuxiliaryVoltage ? 700 : 200,
            Unit.Celsius => 300,
            Unit.Hertz => 500,
            Unit.Ampere => 5000,
            Unit.Fraction => 3,
            _ => double.MaxValue,
        };

    private static Measurand[] Temperatures =>
        [
            Measurand.UnitTemperature,
            Measurand.BankOutletTemperature,
            Measurand.LugTemperature,
            Measurand.ReferenceShuntTemperature,
        ];

    private static Key<TripRule> OfTemperature(Measurand measurand)
    {
        var word = MeasurandText.Word(measurand);
        return Key.Optional(
            word,
            new TripShape(measurand, new AmountRule([Unit.Celsius], [], false, "above 120 °C")),
            $"Temperature at which the load is removed; a heat run needs it where the bench reads the {word}.",
            $"{word}: above 120 °C"
        );
    }

    private static IEnumerable<Key<TripRule>> OfAuxiliary()
    {
        yield return Key.Optional(
            "auxiliary voltage",
            new TripShape(
                Measurand.AuxiliaryVoltage,
                new AmountRule(
                    [Unit.Volt],
                    [BaseName.RatedAuxiliaryVoltage],
                    false,
                    "above 115 % of rated auxiliary voltage"
                )
            ),
            "Volts of the auxiliary output at which both loads are removed; steps of the auxiliary output need it."
        );
        yield return Key.Optional(
            "auxiliary current",
            new TripShape(Measurand.AuxiliaryCurrent, new AmountRule([Unit.Ampere], [], false, "above 45 A")),
            "Amperes of the auxiliary load at which both loads are removed; steps of the auxiliary output need it."
        );
        yield return Key.Optional(
            "auxiliary frequency",
            new TripShape(
                Measurand.AuxiliaryFrequency,
                new AmountRule(
                    [Unit.Hertz],
                    [BaseName.RatedFrequency],
                    false,
                    "below 85 % of rated frequency or above 110 % of rated frequency"
                )
            ),
            "Frequency at which both loads are removed; steps of the auxiliary output need it."
        );
    }

    private static MappingShape<ImmutableArray<TripRule>> MakeTrips()
    {
        var current = Key.Required(
            "output current",
            new TripShape(
                Measurand.OutputCurrent,
                new AmountRule(
                    [Unit.Ampere],
                    [BaseName.RatedCurrent, BaseName.MaximumSetting],
                    false,
                    "above 115 % of rated current"
                )
            ),
            "Amperes at which the load is removed."
        );
        var voltage = Key.Required(
            "output voltage",
            new TripShape(
                Measurand.OutputVoltage,
                new AmountRule([Unit.Volt], [BaseName.RatedVoltage], false, "above 95 V")
            ),
            "Volts at which the load is removed."
        );
        var conductance = Key.Optional(
            "load conductance",
            new TripShape(
                Measurand.LoadConductance,
                new AmountRule([], [BaseName.Commanded], false, "below 80 % of commanded or above 120 % of commanded")
            ),
            "Amperes over volts against the elements commanded on; tells a stuck element or a wrong scale."
        );
        Key<TripRule>[] side = [.. Temperatures.Select(OfTemperature), .. OfAuxiliary()];
        return new MappingShape<ImmutableArray<TripRule>>(
            "trip",
            [current, voltage, conductance, .. side],
            f => [.. f.Given.OfType<Key<TripRule>>().Select(f.Get)],
            f =>
            {
                foreach (var key in (Key<TripRule>[])[current, voltage, .. side])
                {
                    if (f.TryGet(key, out var rule) && rule.Above is null)
                    {
                        f.Findings.Error(
                            f.PlaceOf(key),
                            $"`{key.Name}` has no upper bound, which must be given. Write for example `{key.Example}`."
                        );
                    }
                }
                if (f.TryGet(conductance, out var c) && (c.Above ?? c.Below)?.Of is null)
                {
                    f.Findings.Error(
                        f.PlaceOf(conductance),
                        $"`load conductance` is given in % of commanded. Write for example `{conductance.Example}`."
                    );
                }
            }
        );
    }
}
