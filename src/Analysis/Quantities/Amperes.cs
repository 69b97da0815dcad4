namespace LoadTest.Analysis.Quantities;

/// <summary>Electric current, amperes; positive out of the positive stud into the load.</summary>
/// <param name="Value">Magnitude in A; finite, any sign unless a consumer says otherwise.</param>
public readonly record struct Amperes(double Value) : IComparable<Amperes>
{
    /// <summary>Zero amperes.</summary>
    public static Amperes Zero => default;

    /// <summary>Sum of two values in A.</summary>
    public static Amperes operator +(Amperes left, Amperes right) => new(left.Value + right.Value);

    /// <summary>Difference of two values in A.</summary>
    public static Amperes operator -(Amperes left, Amperes right) => new(left.Value - right.Value);

    /// <summary>Value in A scaled by a number.</summary>
    public static Amperes operator *(Amperes left, double factor) => new(left.Value * factor);

    /// <summary>Ratio of two values in A, a number.</summary>
    public static double operator /(Amperes left, Amperes right) => left.Value / right.Value;

    /// <summary>Ohm's law: voltage across a resistance, volts. 300 A × 0.1 Ω = 30 V.</summary>
    public static Volts operator *(Amperes left, Ohms right) => new(left.Value * right.Value);

    /// <summary>Whether left is below right; false when either is NaN.</summary>
    public static bool operator <(Amperes left, Amperes right) => left.Value < right.Value;

    /// <summary>Whether left is above right; false when either is NaN.</summary>
    public static bool operator >(Amperes left, Amperes right) => left.Value > right.Value;

    /// <summary>Whether left is not above right; false when either is NaN.</summary>
    public static bool operator <=(Amperes left, Amperes right) => left.Value <= right.Value;

    /// <summary>Whether left is not below right; false when either is NaN.</summary>
    public static bool operator >=(Amperes left, Amperes right) => left.Value >= right.Value;

    /// <inheritdoc/>
    public int CompareTo(Amperes other) => Value.CompareTo(other.Value);

    /// <summary>Magnitude and unit symbol, six significant digits.</summary>
    public override string ToString() => Figures.With(Value, "A");
}
