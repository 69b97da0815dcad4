namespace LoadTest.AnalysisTests.DcQuality;

/// <summary>Ideal bridges into a resistance, from three sines; line-to-line rms is the unit.</summary>
internal static class Bridges
{
    public static double Complete(double turns) => Highest(turns, 0, 1, 2) - Lowest(turns);

    public static double OneDiodeOpen(double turns) => Math.Max(0, Highest(turns, 1, 2) - Lowest(turns));

    public static double TwoDiodesOpen(double turns) => Math.Max(0, Highest(turns, 2) - Lowest(turns));

    public static double OnePhaseLost(double turns) => Math.Abs(Phase(turns, 1) - Phase(turns, 2));

    public static double[] Sampled(
        Func<double, double> bridge,
        double scale = 60,
        int perCycle = 600,
        int cycles = 12,
        double offset = 0.5
    )
    {
        var samples = new double[perCycle * cycles];
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] = scale * bridge((i + offset) / perCycle);
        }

        return samples;
    }

    private static double Phase(double turns, int phase) =>
        Math.Sqrt(2.0 / 3) * Math.Sin(2 * Math.PI * (turns - phase / 3.0));

    private static double Highest(double turns, params int[] phases) => phases.Max(p => Phase(turns, p));

    private static double Lowest(double turns) => Enumerable.Range(0, 3).Min(p => Phase(turns, p));
}
