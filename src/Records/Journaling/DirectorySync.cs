using System.Runtime.InteropServices;
using System.Text;

namespace LoadTest.Records.Journaling;

/// <summary>Makes a directory's entries durable, so that a new file's name survives a power cut.</summary>
/// <remarks>The library has no call for it. On Windows nothing is done: the file system journals names itself.</remarks>
internal static class DirectorySync
{
    private const int ReadOnly = 0;

    /// <summary>Syncs one directory.</summary>
    /// <exception cref="IOException">It cannot be opened or synced.</exception>
    public static void Sync(string directory)
    {
        if (OperatingSystem.IsWindows())
            return;
        var descriptor = Open(Encoding.UTF8.GetBytes(directory + '\0'), ReadOnly);
        if (descriptor < 0)
            throw Trouble(directory, "opened");
        var result = Fsync(descriptor);
        var error = result < 0 ? Trouble(directory, "synced") : null;
        _ = Close(descriptor);
        if (error is not null)
            throw error;
    }

    private static IOException Trouble(string directory, string action) =>
        new($"Directory {directory} could not be {action}: error {Marshal.GetLastPInvokeError()}.");

    [DllImport("libc", EntryPoint = "open", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Open(byte[] path, int flags);

    [DllImport("libc", EntryPoint = "fsync", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Fsync(int descriptor);

    [DllImport("libc", EntryPoint = "close", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Close(int descriptor);
}
