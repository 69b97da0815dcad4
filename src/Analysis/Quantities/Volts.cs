namespace LoadTest.Analysis.Quantities;

/// <summary>Electric potential difference, volts; positive from negative stud to positive stud.</summary>
/// <param name="Value">Magnitude in V; finite, any sign unless a consumer says otherwise.</param>
public readonly record struct Volts(double Value) : IComparable<Volts>
{
    /// <summary>Zero volts.</summary>
    public static Volts Zero => default;

    /// <summary>Sum of two values in V.</summary>
    public static Volts operator +(Volts left, Volts right) => new(left.Value + right.Value);

    /// <summary>Difference of two values in V.</summary>
    public static Volts operator -(Volts left, Volts right) => new(left.Value - right.Value);

    /// <summary>Value in V scaled by a number.</summary>
    public static Volts operator *(Volts left, double factor) => new(left.Value * factor);

    /// <summary>Ratio of two values in V, a number.</summary>
    public static double operator /(Volts left, Volts right) => left.Value / right.Value;

    /// <summary>Ohm's law: current through a resistance, amperes. 30 V / 0.1 Ω = 300 A.</summary>
    public static Amperes operator /(Volts left, Ohms right) => new(left.Value / right.Value);

    /// <summary>Ohm's law: resistance seen at a current, ohms. 32 V / 300 A = 0.10667 Ω.</summary>
    public static Ohms operator /(Volts left, Amperes right) => new(left.Value / right.Value);

    /// <summary>Power, watts. 32 V × 300 A = 9600 W.</summary>
    public static Watts operator *(Volts left, Amperes right) => new(left.Value * right.Value);

    /// <summary>Whether left is below right; false when either is NaN.</summary>
    public static bool operator <(Volts left, Volts right) => left.Value < right.Value;

    /// <summary>Whether left is above right; false when either is NaN.</summary>
    public static bool operator >(Volts left, Volts right) => left.Value > right.Value;

    /// <summary>Whether left is not above right; false when either is NaN.</summary>
    public static bool operator <=(Volts left, Volts right) => left.Value <= right.Value;

    /// <summary>Whether left is not below right; false when either is NaN.</summary>
    public static bool operator >=(Volts left, Volts right) => left.Value >= right.Value;

    /// <inheritdoc/>
    public int CompareTo(Volts other) => Value.CompareTo(other.Value);

    /// <summary>Magnitude and unit symbol, six significant digits.</summary>
    public override string ToString() => Figures.With(Value, "V");
}
