using System.Buffers.Binary;
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace LoadTest.Benchmarks;

/// <summary>Tries dotnet-stryker's mutants with a test program that stops at its first failure.</summary>
/// <remarks>
/// Its own runner lets a mutant live through every test that reaches it (hours here). The mutated assembly is the same: one mutant in it
/// is active at a time, by the number in the file that STRYKER_MUTANT_FILE names. Which class of tests reaches a mutant is learned first,
/// by running each class alone; those that caught mutants of the same file before go first.
/// </remarks>
internal static partial class Mutants
{
    private const int AtOnce = 2;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(8);

    private sealed record Mutant(int Id, string File, string Original, string Replacement, string Mutator);

    private sealed record Fate(
        int Id,
        string Outcome,
        string File,
        string Mutator,
        string Original,
        string Replacement,
        string By
    );

    /// <summary>Arguments: what stryker wrote with `-L`, the mutated test program, where fates are appended, patterns of the files that count and of the classes of tests that do.</summary>
    public static int Run(string[] args)
    {
        if (args is not [var output, var program, var fates, var files, var classes])
        {
            Console.Error.WriteLine("mutants STRYKER_OUTPUT TEST_PROGRAM FATES_FILE FILE_PATTERN CLASS_PATTERN");
            return 2;
        }
        var mutants = Read(Directory.GetFiles(Path.Combine(output, "logs"), "log-*.txt").Single(), files);
        var reach = Learn(program, classes);
        var done = File.Exists(fates) ? File.ReadLines(fates).Select(Parse).ToDictionary(f => f.Id) : [];
        Try(program, fates, mutants, reach, done);
        Print([.. File.ReadLines(fates).Select(Parse)]);
        return 0;
    }

    /// <summary>Every mutant of these files that stands in the assembly; left out are words, null checks, and blocks that hold others, as stryker is told to.</summary>
    private static List<Mutant> Read(string log, string files)
    {
        var (file, all, tested) = ("", new Dictionary<int, Mutant>(), new HashSet<int>());
        foreach (Match m in Line().Matches(File.ReadAllText(log)))
        {
            if (m.Groups["file"].Success)
                file = m.Groups["file"].Value;
            else if (m.Groups["made"].Success)
                all[Number(m, "made")] = new Mutant(
                    Number(m, "made"),
                    file,
                    m.Groups["old"].Value,
                    m.Groups["new"].Value,
                    m.Groups["how"].Value
                );
            else if (m.Groups["gone"].Success)
                all.Remove(Number(m, "gone"));
            else
                tested.Add(Number(m, "told"));
        }
        var standing = all
            .Values.Where(m =>
                tested.Contains(m.Id)
                && Fits(m.File, files)
                && m.Mutator is not ("String" or "InterpolatedString")
                && !m.Original.Contains("ThrowIfNull", StringComparison.Ordinal)
            )
            .Select(m => m with { File = Path.GetFileName(m.File) })
            .ToList();
        return
        [
            .. standing.Where(m =>
                m.Mutator != "Block"
                || !standing.Exists(o =>
                    o.Id != m.Id && o.File == m.File && m.Original.Contains(o.Original, StringComparison.Ordinal)
                )
            ),
        ];
    }

    private static bool Fits(string text, string pattern) =>
        Regex.IsMatch(text, pattern, RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(1));

    private static int Number(Match match, string group) =>
        int.Parse(match.Groups[group].Value, CultureInfo.InvariantCulture);

    private static Dictionary<string, (HashSet<int> Ids, TimeSpan Takes)> Learn(string program, string classes)
    {
        var reach = new Dictionary<string, (HashSet<int>, TimeSpan)>(StringComparer.Ordinal);
        var (_, list) = Execute(program, ["-list", "classes"], [], TimeSpan.FromMinutes(1));
        foreach (var name in list.Split('\n', StringSplitOptions.TrimEntries).Where(l => Fits(l, classes)))
        {
            var clock = Stopwatch.StartNew();
            if (Execute(program, ["-class", name], [], TimeSpan.FromMinutes(10)).Exit != 0)
                throw new InvalidOperationException($"{name} fails without any mutant.");
            var takes = clock.Elapsed;
            var mark = $"reach{Guid.NewGuid():N}.txt";
            Execute(program, ["-class", name], [("STRYKER_COVERAGE_FILE", mark)], TimeSpan.FromMinutes(30));
            var ids = new HashSet<int>();
            foreach (
                var written in Directory.GetFiles(Path.GetTempPath(), $"{Path.GetFileNameWithoutExtension(mark)}*")
            )
            {
                ids.UnionWith(
                    Digits()
                        .Matches(File.ReadAllText(written))
                        .Select(d => int.Parse(d.Value, CultureInfo.InvariantCulture))
                );
                File.Delete(written);
            }
            reach.Add(name, (ids, takes));
        }
        Console.WriteLine($"{reach.Count} classes of tests, {reach.Values.Sum(r => r.Item2.TotalSeconds):0} s");
        return reach;
    }

    private static void Try(
        string program,
        string fates,
        List<Mutant> mutants,
        Dictionary<string, (HashSet<int> Ids, TimeSpan Takes)> reach,
        Dictionary<int, Fate> done
    )
    {
        var caught = new Dictionary<(string File, string Class), int>();
        var gate = new Lock();
        Parallel.ForEach(
            // In a fixed order that is none of the files', so that the first hundreds already tell how the rest will fare.
            mutants.Where(m => !done.ContainsKey(m.Id)).OrderBy(m => m.Id * 7919 % 104729),
            new ParallelOptions { MaxDegreeOfParallelism = AtOnce },
            mutant =>
            {
                List<string[]> rounds;
                lock (gate)
                    rounds = Rounds(mutant, reach, caught);
                var (outcome, by) = Live(program, mutant, rounds, reach);
                var line = JsonSerializer.Serialize(
                    new Fate(mutant.Id, outcome, mutant.File, mutant.Mutator, mutant.Original, mutant.Replacement, by)
                );
                lock (gate)
                {
                    if (by.Length > 0)
                        caught[(mutant.File, by)] = caught.GetValueOrDefault((mutant.File, by)) + 1;
                    File.AppendAllText(fates, line + "\n");
                }
            }
        );
    }

    /// <summary>The three classes that caught most in this file each alone, then the quick ones together, then all others.</summary>
    private static List<string[]> Rounds(
        Mutant mutant,
        Dictionary<string, (HashSet<int> Ids, TimeSpan Takes)> reach,
        Dictionary<(string File, string Class), int> caught
    )
    {
        var reaching = reach.Where(r => r.Value.Ids.Contains(mutant.Id)).Select(r => r.Key).ToArray();
        string[] best =
        [
            .. reaching
                .Where(c => caught.ContainsKey((mutant.File, c)))
                .OrderByDescending(c => caught[(mutant.File, c)])
                .Take(3),
        ];
        var rest = reaching.Except(best, StringComparer.Ordinal).OrderBy(c => reach[c].Takes).ToArray();
        var quick = rest.TakeWhile(c => reach[c].Takes < TimeSpan.FromSeconds(1)).ToArray();
        return [.. best.Select(c => new[] { c }), .. new[] { quick, rest[quick.Length..] }.Where(r => r.Length > 0)];
    }

    private static (string Outcome, string By) Live(
        string program,
        Mutant mutant,
        List<string[]> rounds,
        Dictionary<string, (HashSet<int> Ids, TimeSpan Takes)> reach
    )
    {
        var active = Path.GetTempFileName();
        try
        {
            var bytes = new byte[4];
            BinaryPrimitives.WriteInt32LittleEndian(bytes, mutant.Id);
            File.WriteAllBytes(active, bytes);
            foreach (var round in rounds)
            {
                string[] args = ["-stopOnFail", "-maxThreads", "1", .. round.SelectMany(c => new[] { "-class", c })];
                var patience = Patience + 5 * TimeSpan.FromSeconds(round.Sum(c => reach[c].Takes.TotalSeconds));
                var (exit, text) = Execute(program, args, [("STRYKER_MUTANT_FILE", active)], patience);
                if (exit is null)
                    return ("timeout", round[0]);
                if (exit != 0)
                    return (
                        "caught",
                        round.FirstOrDefault(c => text.Contains($"{c}.", StringComparison.Ordinal), round[0])
                    );
            }
            return (rounds.Count == 0 ? "not reached" : "survived", "");
        }
        finally
        {
            File.Delete(active);
        }
    }

    private static (int? Exit, string Text) Execute(
        string program,
        string[] args,
        (string Name, string Value)[] variables,
        TimeSpan patience
    )
    {
        var start = new ProcessStartInfo(program, args)
        {
            RedirectStandardOutput = true,
            UseShellExecute = false,
            WorkingDirectory = Path.GetDirectoryName(Path.GetFullPath(program))!,
        };
        foreach (var (name, value) in variables)
            start.Environment[name] = value;
        using var process = Process.Start(start)!;
        var text = process.StandardOutput.ReadToEndAsync();
        if (process.WaitForExit(patience))
            return (process.ExitCode, text.Result);
        process.Kill(entireProcessTree: true);
        return (null, "");
    }

    private static Fate Parse(string line) => JsonSerializer.Deserialize<Fate>(line)!;

    private static void Print(Fate[] fates)
    {
        static bool IsAlive(Fate f) => f.Outcome is "survived" or "not reached";
        Console.WriteLine("| file | mutants | caught | |\n|---|---|---|---|");
        foreach (
            var file in fates.GroupBy(f => f.File, StringComparer.Ordinal).OrderBy(g => g.Key, StringComparer.Ordinal)
        )
            Console.WriteLine(Row(file.Key, [.. file]));
        Console.WriteLine(Row("together", fates));
        foreach (var fate in fates.Where(IsAlive).OrderBy(f => f.Id))
            Console.WriteLine($"{fate.Outcome}: {fate.File}: {Short(fate.Original)} -> {Short(fate.Replacement)}");

        static string Row(string name, Fate[] fates)
        {
            var caught = fates.Count(f => !IsAlive(f));
            return string.Create(
                CultureInfo.InvariantCulture,
                $"| {name} | {fates.Length} | {caught} | {100.0 * caught / fates.Length:0.0} % |"
            );
        }

        static string Short(string text)
        {
            var line = Blanks().Replace(text, " ");
            return line.Length <= 100 ? line : line[..100] + "…";
        }
    }

    [GeneratedRegex(
        "\\[DBG\\] Mutating \"(?<file>[^\"]+)\"|\\[DBG\\] Mutant (?<made>\\d+) created \"(?<old>.*?)\" -> \"(?<new>.*?)\" using \"Stryker.Core.Mutators.(?<how>\\w+)Mutator\"|Mutant (?<told>\\d+) will be tested|Mutant (?<told>\\d+) is not covered|Found mutant (?<gone>\\d+) of type",
        RegexOptions.Singleline,
        matchTimeoutMilliseconds: 60_000
    )]
    private static partial Regex Line();

    [GeneratedRegex("\\d+", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Digits();

    [GeneratedRegex("\\s+", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Blanks();
}
