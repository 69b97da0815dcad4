namespace LoadTest.Analysis.Regression;

/// <summary>Whether residuals keep their sign for too long, as they do when the curve is of the wrong shape.</summary>
/// <remarks>Exact distribution of the number of runs (Wald and Wolfowitz, 1940). Five above and five below in two runs: 2/252 = 0.00794.</remarks>
internal static class RunsTest
{
    /// <summary>Probability of so few runs of equal sign, or fewer, by chance; 1 when one sign is missing. Zeros are passed over.</summary>
    public static double ChanceOfSoFewRuns(ReadOnlySpan<double> residuals)
    {
        var (above, below, runs, last) = (0, 0, 0, 0);
        foreach (var residual in residuals)
        {
            var sign = Math.Sign(residual);
            if (sign == 0)
            {
                continue;
            }

            above += sign > 0 ? 1 : 0;
            below += sign < 0 ? 1 : 0;
            runs += sign == last ? 0 : 1;
            last = sign;
        }

        if (above == 0 || below == 0)
        {
            return 1;
        }

        var total = LogChoose(above + below, above);
        var chance = 0.0;
        for (var r = 2; r <= runs; r++)
        {
            var half = r / 2;
            if (r % 2 == 0)
            {
                chance += 2 * Math.Exp(LogChoose(above - 1, half - 1) + LogChoose(below - 1, half - 1) - total);
            }
            else
            {
                chance += Math.Exp(LogChoose(above - 1, half) + LogChoose(below - 1, half - 1) - total);
                chance += Math.Exp(LogChoose(above - 1, half - 1) + LogChoose(below - 1, half) - total);
            }
        }

        return Math.Min(1, chance);
    }

    private static double LogChoose(int n, int k)
    {
        if (k < 0 || k > n)
        {
            return double.NegativeInfinity;
        }

        var sum = 0.0;
        for (var i = 1; i <= k; i++)
        {
            sum += Math.Log((n - k + i) / (double)i);
        }

        return sum;
    }
}
