using System.Diagnostics;

namespace LoadTest.Benchmarks;

/// <summary>The goals of the analysis in one run: knee fits beside another library, Monte Carlo, the load solver.</summary>
/// <remarks>Run: <c>taskset -c 1 dotnet run -c Release --project benchmarks -- analysis</c>. Processor time, so that a busy machine
/// does not decide. Ends with 1 when a goal is missed.</remarks>
internal static class AnalysisSpeed
{
    private const double MonteCarloGoal = 0.2;
    private const double SolverGoal = 0.005;

    private static readonly string[] s_banks =
    [
        "alike",
        "halving",
        "different",
        "mixed ratings",
        "no order",
        "detour",
        "none reached",
        "bounded",
    ];

    public static int Run(string[] args)
    {
        var fits = FitSpeed.Run(args);
        var trials = new MonteCarloBenchmark();
        var monteCarlo = Median(() => trials.MillionTrials(), calls: 1, rounds: 9);
        Console.WriteLine(
            $"Monte Carlo: 1 000 000 trials of the shunt's budget in {1e3 * monteCarlo:F1} ms (median of 9)"
        );
        var slowest = 0.0;
        foreach (var bank in s_banks)
        {
            var solver = new LoadSolverBenchmark { Bank = bank };
            solver.Build();
            var one = Median(() => solver.Solve(), calls: 100, rounds: 9);
            Console.WriteLine($"load solver, 24 elements, {bank}: {1e3 * one:F2} ms (median of 9 rounds of 100)");
            slowest = Math.Max(slowest, one);
        }

        return fits == 0 && monteCarlo < MonteCarloGoal && slowest < SolverGoal ? 0 : 1;
    }

    // Warm for a second and a half first: the compiler's second pass comes on a timer and from another thread.
    private static double Median(Action call, int calls, int rounds)
    {
        var watch = Stopwatch.StartNew();
        while (watch.Elapsed.TotalSeconds < 1.5)
        {
            call();
            Thread.Sleep(2);
        }

        var times = new double[rounds];
        for (var round = 0; round < rounds; round++)
        {
            var began = Environment.CpuUsage.TotalTime;
            for (var k = 0; k < calls; k++)
            {
                call();
            }

            times[round] = (Environment.CpuUsage.TotalTime - began).TotalSeconds / calls;
        }

        Array.Sort(times);
        return times[rounds / 2];
    }
}
