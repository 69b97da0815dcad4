using LoadTest.AnalysisTests.VoltAmp;

namespace LoadTest.Benchmarks;

/// <summary>Prints how five hundred seeded curves of each kind, one reading of each wild, end; exit 1 below 99 % in the right shape.</summary>
internal static class CurveShapes
{
    private const int Many = 500;

    public static int Run()
    {
        var isSound = true;
        Console.WriteLine($"| {Many} curves each | right shape | no shape | another shape |");
        Console.WriteLine("|---|---|---|---|");
        foreach (var tally in CurveDraws.All(Many))
        {
            Console.WriteLine($"| {tally.Kind} | {tally.Right} | {tally.NoShape} | {tally.Other} |");
            isSound &= tally.Right >= 0.99 * Many;
        }

        return isSound ? 0 : 1;
    }
}
