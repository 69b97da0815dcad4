namespace LoadTest.RepositoryTests;

/// <summary>The files of the repository this test was built from; built and hidden folders left out.</summary>
internal static class RepositoryFiles
{
    private static readonly string[] Skipped =
    [
        "bin",
        "obj",
        "TestResults",
        "BenchmarkDotNet.Artifacts",
        "StrykerOutput",
        "runs",
    ];
    private static readonly string[] TextEndings =
    [
        ".cs",
        ".md",
        ".yaml",
        ".yml",
        ".json",
        ".csproj",
        ".props",
        ".targets",
        ".sln",
        ".txt",
        ".html",
        ".css",
        ".js",
        ".py",
        ".sh",
    ];

    public static string Root { get; } = FindRoot();

    /// <summary>All files, by path from the root with forward slashes, in order.</summary>
    public static IReadOnlyList<string> All { get; } =
    [.. Walk(Root).Select(p => Path.GetRelativePath(Root, p).Replace('\\', '/')).Order(StringComparer.Ordinal)];

    /// <summary>Files of text that people here write; reference data of others is left as it came.</summary>
    public static IEnumerable<string> Texts =>
        All.Where(p =>
            TextEndings.Contains(Path.GetExtension(p), StringComparer.Ordinal)
            && !p.StartsWith("tests/data/", StringComparison.Ordinal)
        );

    /// <summary>Code of the product and of the simulator.</summary>
    public static IEnumerable<string> ProductCode =>
        All.Where(p =>
            p.EndsWith(".cs", StringComparison.Ordinal)
            && (p.StartsWith("src/", StringComparison.Ordinal) || p.StartsWith("simulator/", StringComparison.Ordinal))
        );

    public static string Read(string path) => File.ReadAllText(Path.Combine(Root, path));

    private static string FindRoot()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "LoadTest.sln")))
                return folder.FullName;
        }
        throw new InvalidOperationException(
            $"No LoadTest.sln above {AppContext.BaseDirectory}; run the tests from a clone."
        );
    }

    private static IEnumerable<string> Walk(string folder)
    {
        foreach (var file in Directory.EnumerateFiles(folder))
            yield return file;
        foreach (var sub in Directory.EnumerateDirectories(folder))
        {
            var name = Path.GetFileName(sub);
            if (Skipped.Contains(name, StringComparer.Ordinal) || (name.StartsWith('.') && name != ".ci"))
                continue;
            foreach (var file in Walk(sub))
                yield return file;
        }
    }
}
