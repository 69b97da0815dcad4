namespace LoadTest.Analysis.Quantities;

/// <summary>Resistance, ohms.</summary>
/// <param name="Value">Magnitude in Ω; finite, any sign unless a consumer says otherwise.</param>
public readonly record struct Ohms(double Value) : IComparable<Ohms>
{
    /// <summary>Zero ohms.</summary>
    public static Ohms Zero => default;

    /// <summary>Sum of two values in Ω.</summary>
    public static Ohms operator +(Ohms left, Ohms right) => new(left.Value + right.Value);

    /// <summary>Difference of two values in Ω.</summary>
    public static Ohms operator -(Ohms left, Ohms right) => new(left.Value - right.Value);

    /// <summary>Value in Ω scaled by a number.</summary>
    public static Ohms operator *(Ohms left, double factor) => new(left.Value * factor);

    /// <summary>Ratio of two values in Ω, a number.</summary>
    public static double operator /(Ohms left, Ohms right) => left.Value / right.Value;

    /// <summary>Whether left is below right; false when either is NaN.</summary>
    public static bool operator <(Ohms left, Ohms right) => left.Value < right.Value;

    /// <summary>Whether left is above right; false when either is NaN.</summary>
    public static bool operator >(Ohms left, Ohms right) => left.Value > right.Value;

    /// <summary>Whether left is not above right; false when either is NaN.</summary>
    public static bool operator <=(Ohms left, Ohms right) => left.Value <= right.Value;

    /// <summary>Whether left is not below right; false when either is NaN.</summary>
    public static bool operator >=(Ohms left, Ohms right) => left.Value >= right.Value;

    /// <inheritdoc/>
    public int CompareTo(Ohms other) => Value.CompareTo(other.Value);

    /// <summary>Magnitude and unit symbol, six significant digits.</summary>
    public override string ToString() => Figures.With(Value, "Ω");
}
