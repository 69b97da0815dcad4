using System.Runtime.InteropServices;

namespace LoadTest.Serving;

/// <summary>Which pseudo-terminal a name leads to, so that two programs can tell that they mean the same one; Linux only.</summary>
/// <remarks>
/// Path, and device and inode of the file system it is on: two containers may each have a <c>/dev/pts/3</c>, and those differ
/// in the device. The fields of statx(2) are at the same place on every processor.
/// </remarks>
internal static class TerminalIdentity
{
    private const int CurrentFolder = -100;
    private const uint BasicFields = 0x7FF;
    private const int StatusLength = 256;

    /// <summary>The identity; null when the name leads to no pseudo-terminal here.</summary>
    public static string? Of(string name)
    {
        if (!OperatingSystem.IsLinux() || !File.Exists(name))
            return null;
        var path = File.ResolveLinkTarget(name, returnFinalTarget: true)?.FullName ?? Path.GetFullPath(name);
        if (!path.StartsWith("/dev/pts/", StringComparison.Ordinal))
            return null;
        var status = new byte[StatusLength];
        if (statx(CurrentFolder, path, 0, BasicFields, status) != 0)
            return null;
        var inode = BitConverter.ToUInt64(status, 0x20);
        var (major, minor) = (BitConverter.ToUInt32(status, 0x88), BitConverter.ToUInt32(status, 0x8C));
        return $"{path}:{major}.{minor}.{inode}";
    }

    [DllImport(
        "libc",
        SetLastError = true,
        CharSet = CharSet.Ansi,
        BestFitMapping = false,
        ThrowOnUnmappableChar = true
    )]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int statx(int folder, string path, int flags, uint fields, byte[] status);
}
