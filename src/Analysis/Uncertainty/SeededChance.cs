using System.Numerics;

namespace LoadTest.Analysis.Uncertainty;

/// <summary>Seeded generator of uniform, normal and gamma deviates for Monte Carlo.</summary>
/// <remarks>xoshiro256++ 1.0 (Blackman and Vigna 2019) seeded by SplitMix64; normals by the ziggurat of Marsaglia and Tsang
/// (2000) with 256 layers; gamma by Marsaglia and Tsang (2000). All from memory; checked by their moments and tails.</remarks>
internal sealed class SeededChance
{
    private const int Layers = 256;
    private const double R = 3.6541528853610088;
    private const double ToUnit = 1.0 / (1UL << 53);

    private static readonly double[] X = Edges();
    private static readonly double[] Ratios = [.. Enumerable.Range(0, Layers).Select(i => X[i + 1] / X[i])];

    private ulong _a;
    private ulong _b;
    private ulong _c;
    private ulong _d;

    public SeededChance(ulong seed)
    {
        _a = Split(ref seed);
        _b = Split(ref seed);
        _c = Split(ref seed);
        _d = Split(ref seed);
    }

    /// <summary>64 random bits.</summary>
    public ulong Bits()
    {
        unchecked
        {
            var result = BitOperations.RotateLeft(_a + _d, 23) + _a;
            var t = _b << 17;
            _c ^= _a;
            _d ^= _b;
            _b ^= _c;
            _a ^= _d;
            _c ^= t;
            _d = BitOperations.RotateLeft(_d, 45);
            return result;
        }
    }

    /// <summary>Uniform in [0, 1).</summary>
    public double Uniform() => (Bits() >> 11) * ToUnit;

    /// <summary>Standard normal.</summary>
    public double Normal()
    {
        while (true)
        {
            var bits = Bits();
            var layer = (int)(bits & (Layers - 1));
            var u = 2 * ((bits >> 11) * ToUnit) - 1;
            if (Math.Abs(u) < Ratios[layer])
                return u * X[layer];
            if (layer == 0)
                return Tail(u < 0);
            var x = u * X[layer];
            double f0 = Math.Exp(-0.5 * (X[layer] * X[layer] - x * x)),
                f1 = Math.Exp(-0.5 * (X[layer + 1] * X[layer + 1] - x * x));
            if (f1 + Uniform() * (f0 - f1) < 1)
                return x;
        }
    }

    /// <summary>Student t with ν degrees of freedom, scale 1.</summary>
    public double StudentT(double nu) => Normal() / Math.Sqrt(ChiSquared(nu) / nu);

    /// <summary>Chi-squared with ν degrees of freedom.</summary>
    public double ChiSquared(double nu) => 2 * Gamma(nu / 2);

    private double Gamma(double shape)
    {
        if (shape < 1)
            return Gamma(shape + 1) * Math.Pow(1 - Uniform(), 1 / shape);
        var d = shape - 1.0 / 3;
        var c = 1 / Math.Sqrt(9 * d);
        while (true)
        {
            var x = Normal();
            var v = 1 + c * x;
            if (v <= 0)
                continue;
            v = v * v * v;
            if (Math.Log(1 - Uniform()) < 0.5 * x * x + d - d * v + d * Math.Log(v))
                return d * v;
        }
    }

    private double Tail(bool negative)
    {
        double x,
            y;
        do
        {
            x = Math.Log(1 - Uniform()) / R;
            y = Math.Log(1 - Uniform());
        } while (-2 * y < x * x);
        return negative ? x - R : R - x;
    }

    private static double[] Edges()
    {
        var x = new double[Layers + 1];
        var area = R * Math.Exp(-0.5 * R * R) + Math.Sqrt(2 * Math.PI) * Numerics.Normal.UpperTail(R);
        x[0] = area * Math.Exp(0.5 * R * R);
        x[1] = R;
        for (var i = 2; i < Layers; i++)
            x[i] = Math.Sqrt(-2 * Math.Log(area / x[i - 1] + Math.Exp(-0.5 * x[i - 1] * x[i - 1])));
        x[Layers] = 0;
        return x;
    }

    private static ulong Split(ref ulong state)
    {
        unchecked
        {
            state += 0x9E3779B97F4A7C15;
            var z = state;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return z ^ (z >> 31);
        }
    }
}
