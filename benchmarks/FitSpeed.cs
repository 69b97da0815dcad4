using System.Diagnostics;
using System.Globalization;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.Benchmarks;

/// <summary>Ten thousand knee fits with their bands, beside scipy.optimize.curve_fit on the same data, start and Jacobian.</summary>
/// <remarks>Run: <c>taskset -c 0 dotnet run -c Release --project benchmarks -- fits</c>. The other side is benchmarks/fits.py with
/// Debian's python3-scipy, one thread. Processor time on both sides, so that a busy machine does not
/// decide. Invented source: 72 V open circuit, 0.03 V/A, a rounded knee at 220 A.</remarks>
internal static class FitSpeed
{
    private const int Sets = 10_000;
    private const int Points = 15;
    private const int Grid = 50;
    private const double Sigma = 0.05;
    private static readonly double[] s_truth = [72, 0.03, 0.9, 220, 30];
    private static readonly double[] s_start = [70, 0.02, 0.7, 210, 20];

    public static int Run(string[] args)
    {
        var folder = args.Length > 0 ? args[0] : Path.Combine(Path.GetTempPath(), "loadtest-fits");
        Directory.CreateDirectory(folder);
        var sets = Generate(seed: 20_261_125);
        Save(Path.Combine(folder, "data.bin"), sets);
        var results = new double[Sets * (s_truth.Length + Grid)];
        Warm(sets, results);
        var times = new double[5];
        long bytes = 0;
        for (var round = 0; round < times.Length; round++)
        {
            var before = GC.GetAllocatedBytesForCurrentThread();
            var began = Environment.CpuUsage.TotalTime;
            FitAll(sets, results);
            times[round] = (Environment.CpuUsage.TotalTime - began).TotalSeconds;
            bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        }

        Array.Sort(times);
        Console.WriteLine(
            $"here: {Sets} fits with a band at {Grid} currents in {times[2]:F3} s of processor time (median of 5), {1e6 * times[2] / Sets:F1} µs and {bytes / Sets} bytes a fit"
        );
        return Compare(folder, results, times[2]);
    }

    // The compiler's second pass comes on a timer and from another thread: give it time, on one core too.
    private static void Warm(VoltAmpPoint[][] sets, double[] results)
    {
        var watch = Stopwatch.StartNew();
        while (watch.Elapsed.TotalSeconds < 5)
        {
            FitAll(sets.AsSpan(0, 200), results);
            Thread.Sleep(5);
        }
    }

    private static void FitAll(ReadOnlySpan<VoltAmpPoint[]> sets, double[] results)
    {
        var options = new VoltAmpOptions
        {
            Model = VoltAmpModel.RoundedKnee,
            Start = s_start,
            SetOutliersAside = false,
            EnlargeForScatter = false,
            LoadLines = [],
        };
        var width = s_truth.Length + Grid;
        for (var k = 0; k < sets.Length; k++)
        {
            var curve = VoltAmpAnalysis.Fit(sets[k], options);
            var parameters = curve.Parameters;
            for (var j = 0; j < s_truth.Length; j++)
            {
                results[(k * width) + j] = parameters[j].Value;
            }

            for (var g = 0; g < Grid; g++)
            {
                results[(k * width) + s_truth.Length + g] = curve
                    .ConfidenceBand(280.0 * g / (Grid - 1))!
                    .Value.HalfWidth;
            }
        }
    }

    private static VoltAmpPoint[][] Generate(int seed)
    {
        var random = new Random(seed);
        var sets = new VoltAmpPoint[Sets][];
        for (var k = 0; k < Sets; k++)
        {
            sets[k] = new VoltAmpPoint[Points];
            for (var i = 0; i < Points; i++)
            {
                var amperes = 280.0 * i / (Points - 1);
                var t = amperes - s_truth[3];
                var volts =
                    s_truth[0]
                    - (s_truth[1] * amperes)
                    - (0.5 * s_truth[2] * (t + Math.Sqrt((t * t) + (s_truth[4] * s_truth[4]))));
                var noise =
                    Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
                sets[k][i] = new VoltAmpPoint(amperes, volts + (Sigma * noise), null, Sigma);
            }
        }

        return sets;
    }

    private static void Save(string path, VoltAmpPoint[][] sets)
    {
        using var writer = new BinaryWriter(File.Create(path));
        foreach (var point in sets.SelectMany(s => s))
        {
            writer.Write(point.Amperes);
            writer.Write(point.Volts);
        }
    }

    private static int Compare(string folder, double[] results, double seconds)
    {
        var script = Path.Combine(AppContext.BaseDirectory, "fits.py");
        var python = File.Exists("/usr/bin/python3") ? "/usr/bin/python3" : "python3";
        var start = new ProcessStartInfo(python) { RedirectStandardOutput = true, UseShellExecute = false };
        string[] arguments =
        [
            script,
            folder,
            $"{Sets}",
            $"{Points}",
            $"{Grid}",
            Sigma.ToString("R", CultureInfo.InvariantCulture),
            .. s_start.Select(v => v.ToString("R", CultureInfo.InvariantCulture)),
        ];
        foreach (var argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        start.Environment["OMP_NUM_THREADS"] = "1";
        start.Environment["OPENBLAS_NUM_THREADS"] = "1";
        using var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
        {
            Console.WriteLine(
                "no comparison: the other side needs Debian's python3-scipy (apt-get install python3-scipy)"
            );
            return 1;
        }

        var lines = output.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        var theirs = double.Parse(lines[^1], CultureInfo.InvariantCulture);
        Console.WriteLine(lines[0]);
        var other = Load(Path.Combine(folder, "results.bin"), results.Length);
        var width = s_truth.Length + Grid;
        var (worstParameter, worstBand) = (0.0, 0.0);
        for (var i = 0; i < results.Length; i++)
        {
            var apart = Math.Abs(results[i] - other[i]) / Math.Abs(other[i]);
            (worstParameter, worstBand) =
                i % width < s_truth.Length
                    ? (Math.Max(worstParameter, apart), worstBand)
                    : (worstParameter, Math.Max(worstBand, apart));
        }

        Console.WriteLine(
            $"worst relative difference over all fits: parameters {worstParameter:G2}, band half widths {worstBand:G2}"
        );
        Console.WriteLine($"ratio: {theirs / seconds:F1}");
        return theirs / seconds >= 20 && worstParameter < 1e-6 && worstBand < 1e-6 ? 0 : 1;
    }

    private static double[] Load(string path, int count)
    {
        using var reader = new BinaryReader(File.OpenRead(path));
        var values = new double[count];
        for (var i = 0; i < count; i++)
        {
            values[i] = reader.ReadDouble();
        }

        return values;
    }
}
