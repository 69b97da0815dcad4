namespace LoadTest.AnalysisTests.Ac;

/// <summary>Sampled waveforms made from a formula.</summary>
internal static class Waves
{
    public static double[] Of(int count, double rate, Func<double, double> wave)
    {
        var samples = new double[count];
        for (var i = 0; i < count; i++)
        {
            samples[i] = wave(i / rate);
        }

        return samples;
    }

    public static double[] Sine(int count, double rate, double frequency, double amplitude, double phase = 0.3) =>
        Of(count, rate, t => amplitude * Math.Cos(2 * Math.PI * frequency * t + phase));

    /// <summary>Normal deviates from a seed, by Box and Muller.</summary>
    public static double[] Noise(int count, double sigma, int seed)
    {
        var random = new Random(seed);
        var noise = new double[count];
        for (var i = 0; i < count; i++)
        {
            noise[i] =
                sigma * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        }

        return noise;
    }

    public static double[] Plus(this double[] left, double[] right) => [.. left.Zip(right, (a, b) => a + b)];
}
