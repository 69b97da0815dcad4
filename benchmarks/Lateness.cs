using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using LoadTest.Sequencer.Engine;

namespace LoadTest.Benchmarks;

/// <summary>How far apart a run's signs of life are on a busy machine, beside a bare loop in C at the same time.</summary>
/// <remarks>
/// Whole runs of the built program, one after the other, each a process of its own against a simulator in another, while a copy of this
/// repository is built over and over on both cores. A trip as LATE is false when the bare loop saw no gap above half the limit within a second
/// of it: then it was the program that was late, not the machine. Exit 1 when one is false. Arguments: minutes; <c>--idle</c> for a machine at
/// rest; <c>--program FILE</c> for another build of the program.
/// </remarks>
internal static class Lateness
{
    private static readonly TimeSpan Nearby = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan BareLimit = DeadMan.Limit / 2;

    public static int Run(string[] args)
    {
        var minutes = args is [var m, ..] ? double.Parse(m, CultureInfo.InvariantCulture) : 10;
        var isBusy = !args.Contains("--idle", StringComparer.Ordinal);
        var program = args is [.., "--program", var file] ? Path.GetFullPath(file) : Beside("loadtest.dll");
        var work = Directory.CreateTempSubdirectory("lateness-");
        var children = new List<Process>();
        try
        {
            return Measure(TimeSpan.FromMinutes(minutes), isBusy, program, work.FullName, children);
        }
        finally
        {
            foreach (var child in children)
            {
                if (!child.HasExited)
                    child.Kill(entireProcessTree: true);
                child.Dispose();
            }
            work.Delete(recursive: true);
        }
    }

    private static int Measure(TimeSpan length, bool isBusy, string program, string work, List<Process> children)
    {
        Demand(Start(children, "gcc", "-O2", "-o", Path.Combine(work, "bare-loop"), Beside("bare-loop.c")));
        if (isBusy)
            BeBusy(work, children);
        // Late answers of the simulator are none of the run's: it goes before the builds too, where that is allowed.
        var simulator = Start(
            children,
            "nice",
            "-n",
            "-10",
            "dotnet",
            program,
            "simulate",
            "demo-four-wires.yaml",
            "--port",
            "0",
            "--json"
        );
        var wires = Path.Combine(work, "wires.json");
        File.WriteAllText(wires, simulator.StandardOutput.ReadLine());
        var loop = Start(
            children,
            Path.Combine(work, "bare-loop"),
            length.TotalSeconds.ToString("0", CultureInfo.InvariantCulture)
        );
        var bare = loop.StandardOutput.ReadToEndAsync();
        var start = Stopwatch.GetTimestamp();
        var (runs, late) = (0, new List<DateTimeOffset>());
        var counts = new long[Heartbeat.ClassEdges.Count + 1];
        var longest = 0.0;
        var ends = new SortedDictionary<string, int>(StringComparer.Ordinal);
        while (Stopwatch.GetElapsedTime(start) < length)
        {
            var store = Path.Combine(work, $"runs-{++runs}");
            using var run = Start(
                [],
                "dotnet",
                [
                    program,
                    "run",
                    "short-check.yaml",
                    "demo-300.yaml",
                    "demo-four-wires.yaml",
                    "--wires",
                    wires,
                    "--operator",
                    "script",
                    "--out",
                    store,
                ]
            );
            run.StandardOutput.ReadToEnd();
            run.WaitForExit();
            var log = Directory.GetFiles(store, "log.jsonl", SearchOption.AllDirectories).SelectMany(File.ReadLines);
            foreach (var line in log)
            {
                using var entry = JsonDocument.Parse(line);
                Take(entry.RootElement, counts, ref longest, late, ends);
            }
        }
        var (bareCounts, bareLongest, gaps) = Bare(bare.Result);
        Show(runs, ends, counts, longest, bareCounts, bareLongest);
        var isFalse = late.Where(l => !gaps.Exists(g => (g.At - l).Duration() <= Nearby && g.Gap > BareLimit)).ToList();
        Console.WriteLine($"{late.Count} trips as LATE, {isFalse.Count} of them while the bare loop was not late.");
        return isFalse.Count == 0 ? 0 : 1;
    }

    /// <summary>Builds a copy of this repository over and over; two builds at once keep both cores busy.</summary>
    private static void BeBusy(string work, List<Process> children)
    {
        for (var k = 1; k <= 2; k++)
        {
            var copy = Path.Combine(work, $"copy-{k}");
            Demand(Start(children, "git", "clone", "--quiet", RepositoryRoot(), copy));
            Demand(Start(children, "dotnet", "restore", copy, "-v:q"));
            Start(
                children,
                "sh",
                "-c",
                $"while :; do dotnet build '{copy}' --no-restore --no-incremental -v:q -nodereuse:false >/dev/null 2>&1; done"
            );
        }
    }

    private static void Take(
        JsonElement entry,
        long[] counts,
        ref double longest,
        List<DateTimeOffset> late,
        SortedDictionary<string, int> ends
    )
    {
        if (entry.TryGetProperty("Counts", out var seen))
        {
            for (var k = 0; k < counts.Length; k++)
                counts[k] += seen[k].GetInt64();
            longest = Math.Max(longest, entry.GetProperty("Longest").GetDouble());
        }
        else if (entry.TryGetProperty("Code", out var code) && entry.TryGetProperty("Outcome", out var outcome))
        {
            var words = $"{outcome.GetString()} {code.GetString()}".Trim();
            ends[words] = ends.GetValueOrDefault(words) + 1;
        }
        else if (
            entry.TryGetProperty("Kind", out var kind)
            && kind.GetString() == "LoadRemoved"
            && entry.GetProperty("Entry").GetString()!.Contains("Code = LATE", StringComparison.Ordinal)
        )
        {
            late.Add(entry.GetProperty("@t").GetDateTimeOffset());
        }
    }

    private static (long[] Counts, double Longest, List<(DateTimeOffset At, TimeSpan Gap)> Gaps) Bare(string printed)
    {
        var lines = printed.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        var gaps = lines[..^1]
            .Select(l => l.Split(' '))
            .Select(w =>
                (DateTimeOffset.UnixEpoch + TimeSpan.FromSeconds(Number(w[0])), TimeSpan.FromMilliseconds(Number(w[1])))
            )
            .ToList();
        var last = lines[^1].Split(' ');
        return ([.. last[1..^2].Select(long.Parse)], Number(last[^1]), gaps);
    }

    private static void Show(
        int runs,
        SortedDictionary<string, int> ends,
        long[] counts,
        double longest,
        long[] bareCounts,
        double bareLongest
    )
    {
        Console.WriteLine($"{runs} runs: {string.Join(", ", ends.Select(e => $"{e.Value} {e.Key}"))}");
        var heads = Heartbeat.ClassEdges.Select(e => $"to {e:0} ms").Append("longer");
        Console.WriteLine($"| gaps | {string.Join(" | ", heads)} | longest |");
        Console.WriteLine($"|---{string.Concat(Enumerable.Repeat("|---", counts.Length + 1))}|");
        Console.WriteLine($"| signs of life of the runs | {string.Join(" | ", counts)} | {longest:0} ms |");
        Console.WriteLine($"| bare loop in C | {string.Join(" | ", bareCounts)} | {bareLongest:0} ms |");
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private static string Beside(string file) => Path.Combine(AppContext.BaseDirectory, file);

    private static string RepositoryRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "LoadTest.sln")))
            folder = folder.Parent;
        return folder?.FullName
            ?? throw new InvalidOperationException("Start this from a build inside the repository.");
    }

    private static Process Start(List<Process> children, string program, params string[] args)
    {
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, UseShellExecute = false };
        foreach (var arg in args)
            start.ArgumentList.Add(arg);
        var process = Process.Start(start)!;
        children.Add(process);
        return process;
    }

    private static void Demand(Process process)
    {
        process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
            throw new InvalidOperationException($"{process.StartInfo.FileName} ended with {process.ExitCode}.");
    }
}
