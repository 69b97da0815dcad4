using System.Globalization;
using LoadTest.Records;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>A number as a person typed it, and what it is in the unit asked for.</summary>
/// <param name="Text">The digits to the letter, without the unit.</param>
/// <param name="Value">The number in the unit asked for.</param>
internal readonly record struct TypedNumber(string Text, double Value)
{
    /// <summary>Reads a number, its unit's symbol after it or left out; null when it is none.</summary>
    public static TypedNumber? Read(string line, Unit unit)
    {
        var (symbol, factor) = ResultWords.Shown(unit);
        var digits = (
            symbol.Length > 0 && line.EndsWith(symbol, StringComparison.Ordinal) ? line[..^symbol.Length] : line
        ).Trim();
        return
            double.TryParse(
                digits.Replace('−', '-'),
                NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent,
                CultureInfo.InvariantCulture,
                out var value
            ) && double.IsFinite(value)
            ? new TypedNumber(digits, value / factor)
            : null;
    }

    /// <summary>The answer it makes.</summary>
    /// <param name="who">Name of who typed it.</param>
    public Answer Answer(string who) => new(true, Value, "", who) { Typed = Text };
}
