namespace LoadTest.Running;

/// <summary>Where the files a bench names are looked for.</summary>
internal static class ProfileFolder
{
    /// <summary>The shipped profiles beside the program.</summary>
    public static string Shipped => Path.Combine(AppContext.BaseDirectory, "profiles");

    /// <summary>Finds a definition a bench names: in the folder above the bench's own, which holds <c>instruments/</c>.</summary>
    /// <param name="bench">Path of the bench file.</param>
    /// <param name="name">Name as written: a relative path that stays inside that folder.</param>
    /// <returns>The path; null when there is no such file there.</returns>
    public static string? Resolve(string bench, string name)
    {
        var root = Path.GetFullPath(Path.Combine(Path.GetDirectoryName(Path.GetFullPath(bench))!, ".."));
        var path = Path.GetFullPath(Path.Combine(root, name));
        return path.StartsWith(root + Path.DirectorySeparatorChar, StringComparison.Ordinal) && File.Exists(path)
            ? path
            : null;
    }
}
