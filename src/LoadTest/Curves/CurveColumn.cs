using System.Text.RegularExpressions;
using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>What a column of readings holds.</summary>
internal enum ColumnKind
{
    /// <summary>Nothing this program reads.</summary>
    Other,

    /// <summary>Name of the curve a row belongs to.</summary>
    Curve,

    /// <summary>Output current.</summary>
    Current,

    /// <summary>Output voltage.</summary>
    Voltage,

    /// <summary>Standard uncertainty of the current.</summary>
    CurrentUncertainty,

    /// <summary>Standard uncertainty of the voltage.</summary>
    VoltageUncertainty,
}

/// <summary>A column's head: what it holds and in which unit.</summary>
/// <param name="Kind">What it holds.</param>
/// <param name="Written">Its unit as written; empty when the head names none.</param>
internal readonly partial record struct CurveColumn(ColumnKind Kind, string Written)
{
    private static readonly string[] s_currents =
    [
        "current",
        "output current",
        "weld current",
        "welding current",
        "load current",
        "amperes",
        "ampere",
        "amps",
        "i",
    ];

    private static readonly string[] s_voltages =
    [
        "voltage",
        "output voltage",
        "weld voltage",
        "welding voltage",
        "load voltage",
        "volts",
        "volt",
        "u",
        "v",
    ];

    /// <summary>Heads that may be written, for messages.</summary>
    public static IReadOnlyCollection<string> Known { get; } =
    ["current (A)", "voltage (V)", "u(current) (A)", "u(voltage) (V)", "curve"];

    /// <summary>Whether a column of this kind holds numbers.</summary>
    public bool IsNumber => Kind is not (ColumnKind.Other or ColumnKind.Curve);

    /// <summary>The unit a column of this kind is measured in.</summary>
    public Unit Base => Kind is ColumnKind.Voltage or ColumnKind.VoltageUncertainty ? Unit.Volt : Unit.Ampere;

    /// <summary>Reads a head: a name, and its unit in brackets, after a slash, a space or an underscore.</summary>
    /// <remarks><c>current (A)</c>, <c>output voltage [mV]</c>, <c>I/A</c>, <c>voltage_V</c>, <c>volts</c>, <c>u(current) (A)</c>,
    /// <c>current uncertainty (A)</c>.</remarks>
    public static CurveColumn Of(string head)
    {
        var (name, unit) = Parted(head);
        var kind = KindOf(name);
        // "volts" and "amps" are units by themselves.
        if (unit.Length == 0 && WithoutUncertainty(name) is "volts" or "volt")
            unit = "V";
        if (unit.Length == 0 && WithoutUncertainty(name) is "amperes" or "ampere" or "amps")
            unit = "A";
        return new CurveColumn(kind, unit);
    }

    /// <summary>Whether a head speaks of an expanded uncertainty, which these columns do not take.</summary>
    public static bool IsExpanded(string head) =>
        head.Contains("expanded", StringComparison.OrdinalIgnoreCase) || Coverage().IsMatch(head);

    /// <summary>The unit a word stands for, or null: <c>A</c>, <c>mV</c>, and <c>volts</c> for V.</summary>
    public static UnitText.Meaning? Meaning(string unit)
    {
        var usual = unit.ToLowerInvariant() switch
        {
            "a" or "amp" or "amps" or "ampere" or "amperes" => "A",
            "v" or "volt" or "volts" => "V",
            _ => unit,
        };
        return UnitText.TryRead(usual, out var meaning) ? meaning : null;
    }

    private static (string Name, string Written) Parted(string head)
    {
        foreach (var pattern in new[] { Bracketed(), Slashed(), Spaced() })
        {
            var match = pattern.Match(head);
            var (name, unit) = (Plain(match.Groups["name"].Value), match.Groups["unit"].Value.Trim());
            if (match.Success && Meaning(unit) is not null && KindOf(name) != ColumnKind.Other)
                return (name, unit);
        }
        // Brackets around what is no unit we know: still the unit, so that it can be said to be unknown.
        var last = Bracketed().Match(head);
        return last.Success && KindOf(Plain(last.Groups["name"].Value)) is not ColumnKind.Other
            ? (Plain(last.Groups["name"].Value), last.Groups["unit"].Value.Trim())
            : (Plain(head), "");
    }

    private static string Plain(string name) =>
        Spaces().Replace(name.Replace('_', ' ').Replace('-', ' '), " ").Trim().ToLowerInvariant();

    private static ColumnKind KindOf(string name)
    {
        var quantity = WithoutUncertainty(name);
        var isUncertainty = quantity != name;
        return (Is(s_currents, quantity), Is(s_voltages, quantity)) switch
        {
            (true, _) => isUncertainty ? ColumnKind.CurrentUncertainty : ColumnKind.Current,
            (_, true) => isUncertainty ? ColumnKind.VoltageUncertainty : ColumnKind.Voltage,
            _ => name == "curve" ? ColumnKind.Curve : ColumnKind.Other,
        };
    }

    private static bool Is(string[] names, string name) => names.Contains(name, StringComparer.Ordinal);

    // The quantity an uncertainty is of; the name itself when it is none.
    private static string WithoutUncertainty(string name)
    {
        var match = Uncertainty().Match(name);
        return match.Success ? match.Groups["of"].Value.Trim() : name;
    }

    [GeneratedRegex(
        @"^(?<name>.+?)\s*[\(\[](?<unit>[^\(\)\[\]]*)[\)\]]$",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Bracketed();

    [GeneratedRegex(
        @"^(?<name>.+?)\s*/\s*(?<unit>[^/]+)$",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Slashed();

    [GeneratedRegex(
        @"^(?<name>.+?)[ _,]+(in )?(?<unit>[^ _]+)$",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Spaced();

    [GeneratedRegex(@"\s+", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex Spaces();

    [GeneratedRegex(@"\bk\s*=", RegexOptions.CultureInvariant | RegexOptions.IgnoreCase, 1000)]
    private static partial Regex Coverage();

    [GeneratedRegex(
        @"^u ?\((?<of>[^\)]+)\)$|^u (?<of>.+)$|^(standard )?uncertainty( of)? (?<of>.+)$|^(?<of>.+?) (standard )?uncertainty$",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Uncertainty();
}
