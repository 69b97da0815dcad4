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
            var most = Most(amount);
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
    private static double Most(Amount amount) =>
        amount.Unit switch
        {
            Unit.Volt => 200,
            Unit.Ampere => 5000,
            Unit.Fraction => 3,
            _ => double.MaxValue,
        };

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
        return new MappingShape<ImmutableArray<TripRule>>(
            "trip",
            Of.Keys(current, voltage, conductance),
            f => [.. f.Given.OfType<Key<TripRule>>().Select(f.Get)],
            f =>
            {
                foreach (var key in new[] { current, voltage })
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
