using System.Numerics;

namespace LoadTest.Analysis.DcQuality;

/// <summary>Discrete Fourier transform of any length; plain arithmetic in a fixed order on the calling thread.</summary>
/// <remarks>Cooley and Tukey 1965 for powers of two; any other length as a convolution of such (Bluestein 1970).</remarks>
internal static class FourierTransform
{
    /// <summary>X_k = Σ x_i·exp(−2πj·ik/n).</summary>
    public static Complex[] Of(ReadOnlySpan<Complex> values)
    {
        var n = values.Length;
        if (BitOperations.IsPow2(n))
        {
            var result = values.ToArray();
            InPlace(result, inverse: false);
            return result;
        }

        var size = (int)BitOperations.RoundUpToPowerOf2((uint)(2 * n - 1));
        var (signal, chirp) = (new Complex[size], new Complex[size]);
        var turns = new Complex[n];
        for (var i = 0; i < n; i++)
        {
            // i² modulo 2n keeps the angle small, and its digits with it.
            turns[i] = Complex.FromPolarCoordinates(1, Math.PI * ((long)i * i % (2L * n)) / n);
            signal[i] = values[i] * Complex.Conjugate(turns[i]);
            chirp[i] = turns[i];
            chirp[(size - i) % size] = turns[i];
        }

        InPlace(signal, inverse: false);
        InPlace(chirp, inverse: false);
        for (var k = 0; k < size; k++)
        {
            signal[k] *= chirp[k];
        }

        InPlace(signal, inverse: true);
        var lines = new Complex[n];
        for (var k = 0; k < n; k++)
        {
            lines[k] = signal[k] * Complex.Conjugate(turns[k]) / size;
        }

        return lines;
    }

    private static void InPlace(Complex[] values, bool inverse)
    {
        Reorder(values);
        for (var half = 1; half < values.Length; half *= 2)
        {
            for (var k = 0; k < half; k++)
            {
                var turn = Complex.FromPolarCoordinates(1, (inverse ? Math.PI : -Math.PI) * k / half);
                for (var start = k; start < values.Length; start += 2 * half)
                {
                    var odd = turn * values[start + half];
                    values[start + half] = values[start] - odd;
                    values[start] += odd;
                }
            }
        }
    }

    private static void Reorder(Complex[] values)
    {
        for (int i = 1, j = 0; i < values.Length; i++)
        {
            var bit = values.Length >> 1;
            for (; (j & bit) != 0; bit >>= 1)
            {
                j ^= bit;
            }

            j ^= bit;
            if (i < j)
            {
                (values[i], values[j]) = (values[j], values[i]);
            }
        }
    }
}
