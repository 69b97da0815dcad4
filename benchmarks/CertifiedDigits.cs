using LoadTest.AnalysisTests.Regression;

namespace LoadTest.Benchmarks;

/// <summary>Prints the table of digits reached on the NIST StRD sets, as it stands in docs/figures.md.</summary>
internal static class CertifiedDigits
{
    public static int Run()
    {
        Console.WriteLine("| set | start | parameters | standard errors |");
        Console.WriteLine("|---|---|---|---|");
        foreach (var score in CertifiedScores.All())
        {
            var start = score.Start == 0 ? "" : $"{score.Start}";
            Console.WriteLine($"| {score.Set} | {start} | {score.Parameters:F1} | {score.StandardErrors:F1} |");
        }

        return 0;
    }
}
