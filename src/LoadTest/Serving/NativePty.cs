using System.Runtime.InteropServices;

namespace LoadTest.Serving;

/// <summary>The system calls of pseudo-terminals that .NET does not offer; Linux only.</summary>
internal static class NativePty
{
    /// <summary>O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC of Linux.</summary>
    public const int OpenFlags = 0x2 | 0x100 | 0x800 | 0x80000;

    public const short HasInput = 1;

    private const int NameLength = 128;

    /// <summary>More than any system's termios has; only the C library looks inside.</summary>
    private const int TermiosLength = 256;

    /// <summary>TIOCGEXCL: whether the terminal is held by one program alone.</summary>
    private const uint GetExclusive = 0x8004_5440;

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    public static extern int posix_openpt(int flags);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    public static extern int grantpt(int terminal);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    public static extern int unlockpt(int terminal);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    public static extern nint read(SafeHandle terminal, byte[] buffer, nint length);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    public static extern nint write(SafeHandle terminal, ref byte first, nint length);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    public static extern int poll(ref Watched watched, nuint count, int milliseconds);

    /// <summary>Name of the other end.</summary>
    public static string NameOf(int terminal)
    {
        var name = new byte[NameLength];
        return ptsname_r(terminal, name, NameLength) == 0
            ? System.Text.Encoding.ASCII.GetString(name, 0, Array.IndexOf(name, (byte)0))
            : throw new IOException($"ptsname_r(3): {Marshal.GetLastPInvokeErrorMessage()}");
    }

    /// <summary>Lets every byte pass as it is, without echo, at a speed nobody will ask for.</summary>
    /// <remarks>
    /// A pseudo-terminal keeps no parity, and the C library calls it an error to ask for one when nothing else changes: whoever
    /// opens it next finds at least another speed to change.
    /// </remarks>
    public static void MakeRaw(SafeHandle terminal)
    {
        const uint FiftyBaud = 1;
        var termios = new byte[TermiosLength];
        if (tcgetattr(terminal, termios) != 0)
            throw new IOException($"tcgetattr(3): {Marshal.GetLastPInvokeErrorMessage()}");
        cfmakeraw(termios);
        cfsetspeed(termios, FiftyBaud);
        if (tcsetattr(terminal, 0, termios) != 0)
            throw new IOException($"tcsetattr(3): {Marshal.GetLastPInvokeErrorMessage()}");
    }

    /// <summary>Whether whoever opened the terminal asked to have it alone.</summary>
    public static bool IsExclusive(SafeHandle terminal)
    {
        var isSo = 0;
        return ioctl(terminal, GetExclusive, ref isSo) == 0 && isSo != 0;
    }

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int ptsname_r(int terminal, byte[] name, nuint length);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int tcgetattr(SafeHandle terminal, byte[] termios);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int tcsetattr(SafeHandle terminal, int when, byte[] termios);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern void cfmakeraw(byte[] termios);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int cfsetspeed(byte[] termios, uint speed);

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int ioctl(SafeHandle terminal, nuint request, ref int value);

    /// <summary>struct pollfd.</summary>
    [StructLayout(LayoutKind.Sequential)]
    public struct Watched
    {
        public int Terminal;
        public short Events;
        public short Returned;
    }
}
