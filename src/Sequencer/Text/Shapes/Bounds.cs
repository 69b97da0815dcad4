namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>The values a number may have.</summary>
/// <param name="Low">Least value.</param>
/// <param name="High">Greatest value, allowed.</param>
/// <param name="IsOpenBelow">Whether the least value itself is not allowed.</param>
internal readonly record struct Bounds(double Low, double High, bool IsOpenBelow)
{
    /// <summary>Above a value, up to another.</summary>
    internal static Bounds Above(double low, double high) => new(low, high, true);

    /// <summary>From a value to another, both allowed.</summary>
    internal static Bounds From(double low, double high) => new(low, high, false);

    /// <summary>Whether the value is allowed; never true of NaN.</summary>
    internal bool Contains(double value) => (IsOpenBelow ? value > Low : value >= Low) && value <= High;

    /// <summary>The bounds in words.</summary>
    internal string Text(Unit unit) =>
        IsOpenBelow
            ? $"above {UnitText.Show(Low, unit)}, at most {UnitText.Show(High, unit)}"
            : $"{UnitText.Show(Low, unit)} to {UnitText.Show(High, unit)}";
}
