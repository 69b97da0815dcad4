using LoadTest.Records.Journaling;

namespace LoadTest.Serving;

/// <summary>Which pseudo-terminal a name leads to, so that two programs can tell that they mean the same one; Linux only.</summary>
/// <remarks>
/// Path, and device and inode of the file system it is on: two containers may each have a <c>/dev/pts/3</c>, and those differ
/// in the device.
/// </remarks>
internal static class TerminalIdentity
{
    /// <summary>The identity; null when the name leads to no pseudo-terminal here.</summary>
    public static string? Of(string name)
    {
        if (!OperatingSystem.IsLinux() || !File.Exists(name))
            return null;
        var path = File.ResolveLinkTarget(name, returnFinalTarget: true)?.FullName ?? Path.GetFullPath(name);
        return path.StartsWith("/dev/pts/", StringComparison.Ordinal) && FileStatus.Of(path) is { } status
            ? $"{path}:{status.Device.Major}.{status.Device.Minor}.{status.Inode}"
            : null;
    }
}
