using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>The shapes most keys have, with the bounds beyond which a value is a slip of the pen.</summary>
internal static class Of
{
    /// <summary>Yes or no, and no other words for it.</summary>
    internal static readonly WordShape<bool> YesNo = new([("yes", true), ("no", false)]);

    /// <summary>A date.</summary>
    internal static readonly DateShape Date = new();

    /// <summary>The first key of every file: the number of this format.</summary>
    internal static readonly Key<int> Format = Key.Required(
        "format",
        new CountShape(1, 1),
        "Number of this file format, 1.",
        "format: 1"
    );

    /// <summary>Free text.</summary>
    internal static TextShape Text(string example) => new(example);

    /// <summary>Volts above zero, at most 1000 V.</summary>
    internal static QuantityShape<Volts> Volts(string example) =>
        new(Unit.Volt, Bounds.Above(0, 1000), example, v => new Volts(v));

    /// <summary>Amperes above zero, at most 5000 A.</summary>
    internal static QuantityShape<Amperes> Amperes(string example) =>
        new(Unit.Ampere, Bounds.Above(0, 5000), example, v => new Amperes(v));

    /// <summary>Watts above zero, at most 1 MW.</summary>
    internal static QuantityShape<Watts> Watts(string example) =>
        new(Unit.Watt, Bounds.Above(0, 1e6), example, v => new Watts(v));

    /// <summary>Ohms above zero, at most 10 kΩ.</summary>
    internal static QuantityShape<Ohms> Ohms(string example) =>
        new(Unit.Ohm, Bounds.Above(0, 1e4), example, v => new Ohms(v));

    /// <summary>A time, whole ticks of 100 ns.</summary>
    internal static QuantityShape<TimeSpan> Time(double low, double high, string example) =>
        new(Unit.Second, Bounds.From(low, high), example, TimeSpan.FromSeconds);

    /// <summary>A fraction whose base the key's own words say; 60 % is 0.6.</summary>
    internal static QuantityShape<double> Fraction(Bounds bounds, string example) =>
        new(Unit.Fraction, bounds, example, v => v);

    /// <summary>Any other quantity as a plain double in its unit.</summary>
    internal static QuantityShape<double> Quantity(Unit unit, Bounds bounds, string example) =>
        new(unit, bounds, example, v => v);

    /// <summary>A list.</summary>
    internal static ListShape<T> List<T>(Shape<T> item, int least, int most, string example) =>
        new(item, least, most, example);

    /// <summary>Keys, for tables that name them one by one.</summary>
    internal static ImmutableArray<Key> Keys(params Key[] keys) => [.. keys];
}
