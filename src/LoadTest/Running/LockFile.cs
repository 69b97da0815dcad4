using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using LoadTest.Records.Journaling;
using Microsoft.Win32.SafeHandles;

namespace LoadTest.Running;

/// <summary>One lock file of Linux, in a folder that every user of the machine can write to, and in which nobody is trusted.</summary>
/// <remarks>
/// Opened without following a link, and used only when it is an ordinary file with one name: what was planted there is neither
/// followed nor written to. The lock is the kernel's (flock(2)) and goes when the process ends, however it ends; the file stays, because
/// removing it would let two processes lock two files of one name.
/// </remarks>
internal static class LockFile
{
    private const int ReadWrite = 0x2;
    private const int Create = 0x40;
    private const int OnlyNew = 0x80;
    private const int NoTerminal = 0x100;
    private const int NoWaiting = 0x800;
    private const int CloseOnExec = 0x80000;
    private const int Exclusive = 2;
    private const int WithoutWaiting = 4;
    private const int NotThere = 2;
    private const int Taken = 11;
    private const int MostTries = 10;
    private const int LongestNumber = 10;
    private const uint ForEverybody = 0b110_110_110;

    /// <summary>O_NOFOLLOW, which has its own number on Arm.</summary>
    private static readonly int s_noFollow = RuntimeInformation.ProcessArchitecture
        is Architecture.Arm
            or Architecture.Arm64
        ? 0x8000
        : 0x20000;

    /// <summary>Holds it for this process.</summary>
    /// <param name="path">Path of the file.</param>
    /// <param name="words">The line it stands for, as messages name it.</param>
    /// <exception cref="IOException">Another process holds it, it cannot be opened, or it is no lock file.</exception>
    public static IDisposable Hold(string path, string words)
    {
        for (var tries = 0; tries < MostTries; tries++)
        {
            var file = Open(path, words);
            if (FileStatus.Of(file) is not { IsRegular: true, Links: <= 1 } status)
            {
                file.Dispose();
                throw Planted(path, words);
            }
            if (flock(file, Exclusive | WithoutWaiting) != 0)
            {
                var owner = Marshal.GetLastPInvokeError() == Taken ? Owner(file) : "another process";
                file.Dispose();
                throw BenchLock.InUse(words, owner);
            }
            // Whoever removed the name meanwhile has let others make another file of it.
            if (FileStatus.Of(path, followsLink: false) is { } named && named.IsSameFile(status))
            {
                RandomAccess.SetLength(file, 0);
                RandomAccess.Write(file, Encoding.ASCII.GetBytes($"{Environment.ProcessId}\n"), 0);
                return file;
            }
            file.Dispose();
        }
        throw Planted(path, words);
    }

    private static SafeFileHandle Open(string path, string words)
    {
        // Not made and opened in one: in a folder of everybody the system refuses that for a file of another user.
        var common = ReadWrite | NoTerminal | NoWaiting | CloseOnExec | s_noFollow;
        var file = open(path, common, 0);
        if (file < 0 && Marshal.GetLastPInvokeError() == NotThere)
        {
            file = open(path, common | Create | OnlyNew, ForEverybody);
            if (file >= 0)
                _ = fchmod(file, ForEverybody);
            else
                file = open(path, common, 0);
        }
        return file >= 0 ? new SafeFileHandle(file, ownsHandle: true) : throw Planted(path, words);
    }

    private static IOException Planted(string path, string words) =>
        new(
            $"The line {words} could not be locked: {path} is not a lock file this user may use ({Marshal.GetLastPInvokeErrorMessage()}). It was not followed and not written to. Look at who put it there, remove it, then start again."
        );

    // A number and nothing else is taken from what others can write.
    private static string Owner(SafeFileHandle file)
    {
        var bytes = new byte[LongestNumber];
        var text = Encoding.ASCII.GetString(bytes, 0, RandomAccess.Read(file, bytes, 0)).Split('\n')[0];
        if (!int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var id))
            return "another process";
        try
        {
            using var process = System.Diagnostics.Process.GetProcessById(id);
            return $"process {id}, running since {process.StartTime.ToUniversalTime():yyyy-MM-dd HH:mm:ss} UTC";
        }
        catch (Exception gone)
            when (gone is ArgumentException or InvalidOperationException or System.ComponentModel.Win32Exception)
        {
            return $"process {id}";
        }
    }

    [DllImport(
        "libc",
        SetLastError = true,
        CharSet = CharSet.Ansi,
        BestFitMapping = false,
        ThrowOnUnmappableChar = true
    )]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int open(string path, int flags, uint mode);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int fchmod(int file, uint mode);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int flock(SafeFileHandle file, int operation);
}
