using System.Collections.Frozen;
using System.Collections.Immutable;
using LoadTest.Analysis;

namespace LoadTest.Sequencer.Text;

/// <summary>Every way a unit may be written, and what it stands for.</summary>
internal static class UnitText
{
    private const int ShownDigits = 6;

    /// <summary>A way of writing a unit: value = number × 10^Power × Factor.</summary>
    internal readonly record struct Meaning(Unit Unit, int Power, double Factor);

    // Both mu (U+00B5 micro sign, U+03BC Greek letter) look alike and both are typed; u is for keyboards with neither.
    private static readonly (string Prefix, int Power)[] Prefixes =
    [
        ("", 0),
        ("n", -9),
        ("\u00B5", -6),
        ("\u03BC", -6),
        ("u", -6),
        ("m", -3),
        ("k", 3),
        ("M", 6),
    ];

    private static readonly (string[] Words, Unit Unit)[] Prefixed =
    [
        (["V"], Unit.Volt),
        (["A"], Unit.Ampere),
        // Greek capital omega (U+03A9), ohm sign (U+2126), and two for keyboards with neither.
        (["\u03A9", "\u2126", "Ohm", "ohm"], Unit.Ohm),
        (["V/A"], Unit.VoltPerAmpere),
        (["W"], Unit.Watt),
        (["J"], Unit.Joule),
        (["Hz"], Unit.Hertz),
    ];

    private static readonly (string Word, Meaning Meaning)[] Single =
    [
        ("s", new(Unit.Second, 0, 1)),
        ("ms", new(Unit.Second, -3, 1)),
        ("\u00B5s", new(Unit.Second, -6, 1)),
        ("\u03BCs", new(Unit.Second, -6, 1)),
        ("us", new(Unit.Second, -6, 1)),
        ("min", new(Unit.Second, 0, 60)),
        ("h", new(Unit.Second, 0, 3600)),
        ("Wh", new(Unit.Joule, 0, 3600)),
        ("kWh", new(Unit.Joule, 3, 3600)),
        ("r/min", new(Unit.RevolutionPerMinute, 0, 1)),
        ("rpm", new(Unit.RevolutionPerMinute, 0, 1)),
        ("\u00B0C", new(Unit.Celsius, 0, 1)),
        ("\u2103", new(Unit.Celsius, 0, 1)),
        ("K", new(Unit.Kelvin, 0, 1)),
        ("%", new(Unit.Fraction, -2, 1)),
        ("ppm", new(Unit.Fraction, -6, 1)),
        ("ppm/K", new(Unit.PerKelvin, -6, 1)),
        ("%/K", new(Unit.PerKelvin, -2, 1)),
        ("V/100 A", new(Unit.VoltPerAmpere, -2, 1)),
        ("m", new(Unit.Metre, 0, 1)),
        ("km", new(Unit.Metre, 3, 1)),
    ];

    private static readonly FrozenDictionary<string, Meaning> Known = Single
        .Concat(
            from unit in Prefixed
            from word in unit.Words
            from prefix in Prefixes
            select (prefix.Prefix + word, new Meaning(unit.Unit, prefix.Power, 1))
        )
        .ToFrozenDictionary(p => p.Item1, p => p.Item2, StringComparer.Ordinal);

    // What people write by habit, and what it should be here.
    private static readonly FrozenDictionary<string, string> Habits = new Dictionary<string, string>(
        StringComparer.OrdinalIgnoreCase
    )
    {
        ["amp"] = "A",
        ["amps"] = "A",
        ["ampere"] = "A",
        ["amperes"] = "A",
        ["ADC"] = "A",
        ["volt"] = "V",
        ["volts"] = "V",
        ["VDC"] = "V",
        ["VAC"] = "V",
        ["ohms"] = "\u03A9",
        ["watt"] = "W",
        ["watts"] = "W",
        ["sec"] = "s",
        ["secs"] = "s",
        ["second"] = "s",
        ["seconds"] = "s",
        ["mins"] = "min",
        ["minute"] = "min",
        ["minutes"] = "min",
        ["hr"] = "h",
        ["hrs"] = "h",
        ["hour"] = "h",
        ["hours"] = "h",
        ["msec"] = "ms",
        ["C"] = "\u00B0C",
        ["degC"] = "\u00B0C",
        ["deg"] = "\u00B0C",
        ["1/min"] = "r/min",
        ["percent"] = "%",
        ["pct"] = "%",
        ["meter"] = "m",
        ["metre"] = "m",
        ["kwhr"] = "kWh",
    }.ToFrozenDictionary(StringComparer.OrdinalIgnoreCase);

    /// <summary>What the text stands for; false when it is not a unit we know.</summary>
    internal static bool TryRead(string text, out Meaning meaning) => Known.TryGetValue(text, out meaning);

    /// <summary>The unit a person most likely meant, or null.</summary>
    internal static string? Nearest(string text)
    {
        if (Habits.TryGetValue(text, out var habit))
        {
            return habit;
        }
        return Known
            .Keys.Order(StringComparer.Ordinal)
            .FirstOrDefault(k => string.Equals(k, text, StringComparison.OrdinalIgnoreCase));
    }

    /// <summary>The usual way of writing a unit, for messages.</summary>
    internal static string Usual(Unit unit) =>
        unit switch
        {
            Unit.One => "no unit",
            Unit.Fraction => "%",
            Unit.PerKelvin => "%/K",
            _ => Symbol(unit),
        };

    /// <summary>How a unit is shown to people: its symbol there and the factor from the stored unit.</summary>
    /// <remarks>Ratios are read in mV/A and fractions in percent: 0.00012 V/A is 0.12 mV/A, 0.01 is 1 %.</remarks>
    internal static (string Symbol, double Factor) Shown(Unit unit) =>
        unit switch
        {
            Unit.VoltPerAmpere => ("mV/A", 1000),
            Unit.Fraction => ("%", 100),
            _ => (Symbol(unit), 1),
        };

    /// <summary>Symbol of a unit; empty for a plain number and a fraction.</summary>
    internal static string Symbol(Unit unit) =>
        unit switch
        {
            Unit.One or Unit.Fraction => "",
            Unit.Volt => "V",
            Unit.Ampere => "A",
            Unit.Ohm => "\u03A9",
            Unit.VoltPerAmpere => "V/A",
            Unit.Watt => "W",
            Unit.Joule => "J",
            Unit.Second => "s",
            Unit.Hertz => "Hz",
            Unit.RevolutionPerMinute => "r/min",
            Unit.Celsius => "\u00B0C",
            Unit.Kelvin => "K",
            Unit.PerKelvin => "1/K",
            Unit.Metre => "m",
            _ => throw new ArgumentOutOfRangeException(nameof(unit), unit, "Not a unit."),
        };

    /// <summary>Units as a file names them where it gives no number: by symbol, revolutions per minute also as <c>rpm</c>.</summary>
    internal static ImmutableArray<(string Word, Unit Unit)> Words(IReadOnlyCollection<Unit> units) =>
        [
            .. units.Select(u => (Usual(u), u)),
            .. units.Where(u => u == Unit.RevolutionPerMinute).Select(u => ("rpm", u)),
        ];

    /// <summary>All ways of writing one unit, for schemas.</summary>
    internal static IEnumerable<string> Ways(Unit unit) =>
        Known.Where(k => k.Value.Unit == unit).Select(k => k.Key).Order(StringComparer.Ordinal);

    /// <summary>A value in its usual unit: <c>72 V</c>, <c>60 %</c>, <c>15 s</c>.</summary>
    internal static string Show(double value, Unit unit) =>
        unit switch
        {
            Unit.One => Figures.Of(value, ShownDigits),
            Unit.Fraction => $"{Figures.Of(value * 100, ShownDigits)} %",
            Unit.PerKelvin => $"{Figures.Of(value * 100, ShownDigits)} %/K",
            Unit.Second when value >= 600 => $"{Figures.Of(value / 60, ShownDigits)} min",
            Unit.Second when Math.Abs(value) is < 1 and > 0 => Milliseconds(value),
            _ when IsPrefixed(unit) => Figures.With(value, Symbol(unit), ShownDigits),
            _ => $"{Figures.Of(value, ShownDigits)} {Usual(unit)}",
        };

    private static string Milliseconds(double seconds) =>
        Math.Abs(seconds) >= 1e-3
            ? $"{Figures.Of(seconds * 1000, ShownDigits)} ms"
            : Figures.With(seconds, "s", ShownDigits);

    private static bool IsPrefixed(Unit unit) => Prefixed.Any(p => p.Unit == unit);
}
