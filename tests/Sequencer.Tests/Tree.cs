namespace LoadTest.SequencerTests;

/// <summary>Files of the repository, found from wherever the tests run.</summary>
internal static class Tree
{
    /// <summary>The repository's root.</summary>
    internal static string Root { get; } = FindRoot();

    /// <summary>Bytes of a file below the root.</summary>
    internal static byte[] Bytes(string path) => File.ReadAllBytes(Path.Combine(Root, path));

    /// <summary>Resolves definition files in the profiles folder.</summary>
    internal static ReadOnlyMemory<byte>? Definition(string name)
    {
        var path = Path.Combine(Root, "profiles", name);
        return File.Exists(path) ? new ReadOnlyMemory<byte>(File.ReadAllBytes(path)) : null;
    }

    /// <summary>Every shipped file a person edits, named from the root.</summary>
    internal static IEnumerable<string> Shipped() =>
        Directory
            .EnumerateFiles(Path.Combine(Root, "profiles"), "*.yaml", SearchOption.AllDirectories)
            .Select(p => Path.GetRelativePath(Root, p).Replace('\\', '/'))
            .Order(StringComparer.Ordinal);

    private static string FindRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "LoadTest.sln")))
        {
            folder =
                folder.Parent
                ?? throw new InvalidOperationException("LoadTest.sln stands in no folder above the tests.");
        }
        return folder.FullName;
    }
}
