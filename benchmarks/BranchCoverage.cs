using System.Globalization;
using System.Text.Json;

namespace LoadTest.Benchmarks;

/// <summary>Branches of gate, engine, journal and load removal that tests take: coverlet's JSON files of several test runs, put together.</summary>
/// <remarks>A branch counts as taken when any run took it. Paths are named from <c>src</c> on.</remarks>
internal static class BranchCoverage
{
    private const double Goal = 98;

    private static readonly string[] Folders =
    [
        "src/Sequencer/Gating/",
        "src/Sequencer/Engine/",
        "src/Sequencer/Journal/",
        "src/Records/Journaling/",
    ];

    public static int Run(string[] files)
    {
        var taken = new SortedDictionary<string, bool>(StringComparer.Ordinal);
        foreach (var file in files)
            Add(taken, file);
        var (all, hit) = (0, 0);
        Console.WriteLine("| part | branches | taken | |");
        Console.WriteLine("|---|---|---|---|");
        foreach (var folder in Folders)
        {
            var own = taken.Where(b => b.Key.StartsWith(folder, StringComparison.Ordinal)).ToArray();
            Line(folder.TrimEnd('/'), own.Length, own.Count(b => b.Value));
            (all, hit) = (all + own.Length, hit + own.Count(b => b.Value));
        }
        Line("together", all, hit);
        foreach (
            var open in taken.Where(b => !b.Value && Folders.Any(f => b.Key.StartsWith(f, StringComparison.Ordinal)))
        )
            Console.WriteLine($"not taken: {open.Key}");
        return all > 0 && 100.0 * hit / all >= Goal ? 0 : 1;
    }

    private static void Line(string part, int all, int hit) =>
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"| {part} | {all} | {hit} | {100.0 * hit / Math.Max(1, all):0.0} % |"
            )
        );

    private static void Add(SortedDictionary<string, bool> taken, string file)
    {
        using var document = JsonDocument.Parse(File.ReadAllBytes(file));
        foreach (var module in document.RootElement.EnumerateObject())
        foreach (var source in module.Value.EnumerateObject())
        foreach (var type in source.Value.EnumerateObject())
        foreach (var method in type.Value.EnumerateObject())
        foreach (var branch in method.Value.GetProperty("Branches").EnumerateArray())
        {
            var path = source.Name.Replace('\\', '/');
            int Number(string name) => branch.GetProperty(name).GetInt32();
            var key = string.Create(
                CultureInfo.InvariantCulture,
                $"{path[Math.Max(0, path.LastIndexOf("/src/", StringComparison.Ordinal) + 1)..]}:{Number("Line"):0000} {Name(method.Name)}, {Number("Offset"):0000}-{Number("EndOffset"):0000} path {Number("Path")}"
            );
            taken[key] = taken.GetValueOrDefault(key) || Number("Hits") > 0;
        }
    }

    private static string Name(string method) =>
        method[(method.LastIndexOf("::", StringComparison.Ordinal) + 2)..].Split('(')[0];
}
