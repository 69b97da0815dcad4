namespace LoadTest.Simulator.Arithmetic;

/// <summary>Seeded stream of random numbers, the same on every platform and in every version of .NET.</summary>
/// <remarks>xoshiro256** with its state filled by SplitMix64, both public domain (Blackman and Vigna). Each device takes a
/// stream of its own, named, so that traffic on one never changes the noise of another.</remarks>
internal sealed class Chance
{
    private ulong _a;
    private ulong _b;
    private ulong _c;
    private ulong _d;

    /// <summary>A stream for one named use of a seed.</summary>
    public Chance(ulong seed, string name)
    {
        var state = seed ^ Fingerprint(name);
        _a = SplitMix(ref state);
        _b = SplitMix(ref state);
        _c = SplitMix(ref state);
        _d = SplitMix(ref state);
    }

    internal Chance(ulong a, ulong b, ulong c, ulong d)
    {
        (_a, _b, _c, _d) = (a, b, c, d);
    }

    /// <summary>The next 64 bits.</summary>
    public ulong Next()
    {
        unchecked
        {
            var result = ulong.RotateLeft(_b * 5, 7) * 9;
            var shifted = _b << 17;
            _c ^= _a;
            _d ^= _b;
            _b ^= _c;
            _a ^= _d;
            _c ^= shifted;
            _d = ulong.RotateLeft(_d, 45);
            return result;
        }
    }

    /// <summary>Uniform in 0 ≤ x &lt; 1, 53 bits.</summary>
    public double Uniform() => (Next() >> 11) * (1.0 / (1UL << 53));

    /// <summary>Uniform in −1 ≤ x &lt; 1.</summary>
    public double Signed() => 2 * Uniform() - 1;

    /// <summary>Nearly normal, mean 0, standard deviation 1, never beyond ±6.</summary>
    /// <remarks>Sum of twelve uniforms minus six (Irwin–Hall): exact variance 1, excess kurtosis −0.1. Twelve draws of
    /// 21 bits come from four words; no logarithm, so no library.</remarks>
    public double Normal()
    {
        const ulong Mask = (1UL << 21) - 1;
        ulong sum = 0;
        for (var i = 0; i < 4; i++)
        {
            var word = Next();
            sum += (word & Mask) + ((word >> 21) & Mask) + ((word >> 42) & Mask);
        }

        // Each draw is (k + ½)/2²¹, so the mean is exactly 6.
        return (sum + 6.0) / (1UL << 21) - 6;
    }

    internal static ulong SplitMix(ref ulong state)
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

    // FNV-1a, 64 bit.
    private static ulong Fingerprint(string name)
    {
        unchecked
        {
            var hash = 0xCBF29CE484222325;
            foreach (var c in name)
            {
                hash = (hash ^ c) * 0x100000001B3;
            }

            return hash;
        }
    }
}
