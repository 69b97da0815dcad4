namespace LoadTest.Analysis.Quantities;

/// <summary>Power, watts; positive into the load.</summary>
/// <param name="Value">Magnitude in W; finite, any sign unless a consumer says otherwise.</param>
public readonly record struct Watts(double Value) : IComparable<Watts>
{
    /// <summary>Zero watts.</summary>
    public static Watts Zero => default;

    /// <summary>Sum of two values in W.</summary>
    public static Watts operator +(Watts left, Watts right) => new(left.Value + right.Value);

    /// <summary>Difference of two values in W.</summary>
    public static Watts operator -(Watts left, Watts right) => new(left.Value - right.Value);

    /// <summary>Value in W scaled by a number.</summary>
    public static Watts operator *(Watts left, double factor) => new(left.Value * factor);

    /// <summary>Ratio of two values in W, a number.</summary>
    public static double operator /(Watts left, Watts right) => left.Value / right.Value;

    /// <summary>Whether left is below right; false when either is NaN.</summary>
    public static bool operator <(Watts left, Watts right) => left.Value < right.Value;

    /// <summary>Whether left is above right; false when either is NaN.</summary>
    public static bool operator >(Watts left, Watts right) => left.Value > right.Value;

    /// <summary>Whether left is not above right; false when either is NaN.</summary>
    public static bool operator <=(Watts left, Watts right) => left.Value <= right.Value;

    /// <summary>Whether left is not below right; false when either is NaN.</summary>
    public static bool operator >=(Watts left, Watts right) => left.Value >= right.Value;

    /// <inheritdoc/>
    public int CompareTo(Watts other) => Value.CompareTo(other.Value);

    /// <summary>Magnitude and unit symbol, six significant digits.</summary>
    public override string ToString() => Figures.With(Value, "W");
}
