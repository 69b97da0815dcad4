using System.IO.MemoryMappedFiles;
using System.Runtime.InteropServices;

namespace LoadTest.SystemTests.Killing;

/// <summary>A real fault inside a library, which no handler of the program sees; and its signal on Linux.</summary>
internal static class Fault
{
    /// <summary>Name and number of the signal of each.</summary>
    public static IReadOnlyDictionary<string, int> Signals { get; } =
        new Dictionary<string, int>(StringComparer.Ordinal)
        {
            ["SEGV"] = 11,
            ["BUS"] = 7,
            ["FPE"] = 8,
            ["ABRT"] = 6,
        };

    /// <summary>What makes a fault by its name; null for no name.</summary>
    public static Action? Find(string[] name) =>
        name switch
        {
            ["SEGV"] => () => strlen(8),
            ["BUS"] => ReadBehindTheEnd,
            ["FPE"] => () => div(1, 0),
            ["ABRT"] => abort,
            _ => null,
        };

    // mmap(2): an access beyond the end of the mapped file raises SIGBUS.
    private static void ReadBehindTheEnd()
    {
        var path = Path.GetTempFileName();
        File.WriteAllBytes(path, new byte[Environment.SystemPageSize]);
        using var file = new FileStream(
            path,
            FileMode.Open,
            FileAccess.ReadWrite,
            FileShare.ReadWrite | FileShare.Delete
        );
        using var map = MemoryMappedFile.CreateFromFile(
            file,
            null,
            0,
            MemoryMappedFileAccess.ReadWrite,
            HandleInheritability.None,
            leaveOpen: true
        );
        using var view = map.CreateViewAccessor();
        _ = ftruncate(file.SafeFileHandle, 0);
        File.Delete(path);
        strlen(view.SafeMemoryMappedViewHandle.DangerousGetHandle());
    }

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern nint strlen(nint text);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern long div(int dividend, int divisor);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern void abort();

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int ftruncate(SafeHandle file, nint length);
}
