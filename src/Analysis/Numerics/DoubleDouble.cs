namespace LoadTest.Analysis.Numerics;

/// <summary>A number held as the unevaluated sum of two doubles, about 31 significant digits.</summary>
/// <param name="High">Leading part: the value rounded to double.</param>
/// <param name="Low">Remainder, at most half a unit in the last place of <paramref name="High"/>.</param>
/// <remarks>Error-free transformations after Dekker (1971) and Knuth (TAOCP 4.2.2), the product by fused multiply-add. Plain scalar
/// arithmetic in a fixed order, so the same bits on every machine. Relative error of each operation below 2⁻¹⁰⁰. No special
/// treatment of overflow: callers scale to the neighbourhood of one. 1 + 2⁻⁸⁰ keeps its small part: High 1, Low 2⁻⁸⁰.</remarks>
internal readonly record struct DoubleDouble(double High, double Low)
{
    public static DoubleDouble Zero => default;

    public static DoubleDouble One => new(1, 0);

    public static implicit operator DoubleDouble(double value) => new(value, 0);

    public static explicit operator double(DoubleDouble value) => value.High + value.Low;

    /// <summary>Exact sum of two doubles.</summary>
    public static DoubleDouble Sum(double a, double b)
    {
        var s = a + b;
        var t = s - a;
        return new DoubleDouble(s, (a - (s - t)) + (b - t));
    }

    /// <summary>Exact product of two doubles.</summary>
    public static DoubleDouble Product(double a, double b)
    {
        var p = a * b;
        return new DoubleDouble(p, Math.FusedMultiplyAdd(a, b, -p));
    }

    public static DoubleDouble operator +(DoubleDouble a, DoubleDouble b)
    {
        var s = Sum(a.High, b.High);
        var t = Sum(a.Low, b.Low);
        var first = Renormalised(s.High, s.Low + t.High);
        return Renormalised(first.High, first.Low + t.Low);
    }

    public static DoubleDouble operator -(DoubleDouble a) => new(-a.High, -a.Low);

    public static DoubleDouble operator -(DoubleDouble a, DoubleDouble b) => a + -b;

    public static DoubleDouble operator *(DoubleDouble a, DoubleDouble b)
    {
        var p = Product(a.High, b.High);
        return Renormalised(p.High, p.Low + ((a.High * b.Low) + (a.Low * b.High)));
    }

    public static DoubleDouble operator /(DoubleDouble a, DoubleDouble b)
    {
        var first = a.High / b.High;
        var rest = a - (b * first);
        var second = rest.High / b.High;
        rest -= b * second;
        var third = rest.High / b.High;
        return Renormalised(first, second) + third;
    }

    /// <summary>Square root; zero for zero, NaN below zero.</summary>
    public static DoubleDouble Sqrt(DoubleDouble value)
    {
        if (value.High == 0)
        {
            return Zero;
        }

        var root = Math.Sqrt(value.High);
        var rest = value - Product(root, root);
        return Renormalised(root, rest.High / (2 * root));
    }

    private static DoubleDouble Renormalised(double high, double low)
    {
        var s = high + low;
        return new DoubleDouble(s, low - (s - high));
    }
}
