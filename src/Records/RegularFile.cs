using System.Runtime.InteropServices;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records;

/// <summary>Reads what a person names as a file: only a regular one, and never more of it than a limit.</summary>
/// <remarks>
/// A device, a pipe or a link to either is refused before it is opened: reading <c>/dev/zero</c> never ends, and opening a pipe waits
/// for whoever writes it. Where the system does not tell what a name leads to, the limit alone holds.
/// </remarks>
public static class RegularFile
{
    private const int CurrentFolder = -100;
    private const uint KindField = 0x1;
    private const int StatusLength = 256;
    private const int ModeAt = 28;
    private const int KindMask = 0xF000;
    private const int Regular = 0x8000;

    /// <summary>The first bytes of a file, at most one more than the limit, so that the caller sees that there is more.</summary>
    /// <param name="path">As the person named it.</param>
    /// <param name="most">Limit, bytes; 262144 for a file a person edits.</param>
    /// <exception cref="IOException">It is no regular file, or it cannot be read; the message names it as the person did.</exception>
    public static byte[] Head(string path, int most)
    {
        Demand(path);
        using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 0);
        var buffer = new byte[(int)Math.Min(Math.Max(file.Length, 4096), most) + 1];
        var count = file.ReadAtLeast(buffer, buffer.Length, throwOnEndOfStream: false);
        return buffer[..count];
    }

    /// <summary>All bytes of a file that is no longer than a limit.</summary>
    /// <exception cref="IOException">It is longer, no regular file, or cannot be read.</exception>
    public static byte[] Whole(string path, int most)
    {
        var bytes = Head(path, most);
        return bytes.Length <= most
            ? bytes
            : throw new IOException(
                $"{VisibleText.Of(path)} is longer than {most / 1024} KiB, the most that is read of such a file. Check that this is the file you meant."
            );
    }

    /// <summary>Refuses what is no regular file.</summary>
    /// <exception cref="IOException">It is missing, a folder, a device or a pipe, or the name is none.</exception>
    public static void Demand(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        var name = VisibleText.Of(path);
        if (path.Length == 0 || path.Contains('\0', StringComparison.Ordinal))
            throw new IOException($"`{name}` is no file name. Give the path of a file.");
        if (Directory.Exists(path))
            throw new IOException($"{name} is a folder. Give the path of a file.");
        if (!File.Exists(path))
            throw new FileNotFoundException($"There is no file {name}. Check the path.");
        if (!IsRegular(path))
            throw new IOException($"{name} is a device or a pipe. Give a regular file.");
    }

    private static bool IsRegular(string path)
    {
        if (!OperatingSystem.IsLinux())
            return true;
        var status = new byte[StatusLength];
        // Links are followed: what counts is what they lead to.
        return statx(CurrentFolder, path, 0, KindField, status) != 0
            || (BitConverter.ToUInt16(status, ModeAt) & KindMask) == Regular;
    }

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int statx(
        int folder,
        [MarshalAs(UnmanagedType.LPUTF8Str)] string path,
        int flags,
        uint fields,
        byte[] status
    );
}
