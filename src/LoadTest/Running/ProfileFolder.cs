namespace LoadTest.Running;

/// <summary>Where files are looked for: as a person names them, beside a bench, and among the shipped ones.</summary>
internal static class ProfileFolder
{
    /// <summary>The shipped profiles beside the program.</summary>
    public static string Shipped => Path.Combine(AppContext.BaseDirectory, "profiles");

    /// <summary>A file as named, or the shipped one when only a name was given and there is none here.</summary>
    /// <param name="file">As a person names it.</param>
    /// <param name="kind">Folder of its kind among the shipped ones; empty for profiles.</param>
    /// <exception cref="FileNotFoundException">There is neither.</exception>
    public static string Find(string file, string kind)
    {
        if (File.Exists(file))
            return file;
        var shipped = Path.Combine(Shipped, kind, file);
        if (Path.GetFileName(file) == file && File.Exists(shipped))
            return shipped;
        var names = Directory.Exists(Path.Combine(Shipped, kind))
            ? Directory.GetFiles(Path.Combine(Shipped, kind), "*.yaml").Select(Path.GetFileName)
            : [];
        throw new FileNotFoundException(
            $"There is no file `{file}` here. Give its path, or the name of a shipped one: {string.Join(", ", names.Order(StringComparer.Ordinal))}."
        );
    }

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
