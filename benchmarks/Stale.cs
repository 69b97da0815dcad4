using System.Diagnostics;
using System.Globalization;
using LoadTest.InstrumentsTests.Stale;

namespace LoadTest.Benchmarks;

/// <summary>A million exchanges a wiring with one reply in a hundred astray, and ten thousand over real sockets.</summary>
internal static class Stale
{
    private const int PerMille = 10;

    /// <summary>`stale [EXCHANGES [SEED]]`; a hundredth of them over real sockets.</summary>
    public static int Run(string[] args)
    {
        var exchanges = args.Length > 0 ? long.Parse(args[0], CultureInfo.InvariantCulture) : 1_000_000;
        var seed = args.Length > 1 ? ulong.Parse(args[1], CultureInfo.InvariantCulture) : 1;
        Console.WriteLine(
            "wiring, time              exchanges   astray      good   missing   wrong   deadlines   bad frames       s"
        );
        var isSound = true;
        foreach (var wiring in Enum.GetValues<Wiring>())
            isSound &= Show($"{wiring}, virtual", () => StaleExchanges.Run(wiring, exchanges, PerMille, seed));
        foreach (var wiring in new[] { Wiring.RtuOverTcp, Wiring.Tcp })
            isSound &= Show($"{wiring}, real sockets", () => RealTcp.Run(wiring, exchanges / 100, PerMille, seed));
        return isSound ? 0 : 1;
    }

    private static bool Show(string what, Func<StaleCount> run)
    {
        var start = Stopwatch.GetTimestamp();
        var count = run();
        var seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{what, -24} {count.Exchanges, 10} {count.Astray, 8} {count.Good, 9} {count.Missing, 9} {count.Wrong, 7} {count.Timeouts, 11} {count.BadFrames, 12} {seconds, 7:0}  {count.Trouble()}"
            )
        );
        return count.Trouble().Length == 0;
    }
}
