using System.Globalization;
using System.Runtime.InteropServices;

namespace LoadTest.Running;

/// <summary>How Linux treats the signals of the calling thread, and how that is set right.</summary>
/// <param name="Blocked">Bit n − 1 is set where signal n is held back from this thread.</param>
/// <param name="Ignored">Where it is thrown away.</param>
/// <param name="Caught">Where a handler gets it.</param>
internal readonly record struct SignalSetting(ulong Blocked, ulong Ignored, ulong Caught)
{
    private const int Unblocking = 1;
    private const int Throw = 1;
    private const int MaskBytes = 128;

    // Larger than struct sigaction of any C library; its bytes are copied and never looked into.
    private const int ActionBytes = 512;

    /// <summary>How they are now, by proc(5).</summary>
    /// <exception cref="IOException">The system does not say.</exception>
    public static SignalSetting Look()
    {
        ulong blocked = 0;
        ulong ignored = 0;
        ulong caught = 0;
        foreach (var line in File.ReadLines("/proc/thread-self/status"))
        {
            if (line.Split(':') is not [var name, var mask])
                continue;
            switch (name)
            {
                case "SigBlk":
                    blocked = Mask(mask);
                    break;
                case "SigIgn":
                    ignored = Mask(mask);
                    break;
                case "SigCgt":
                    caught = Mask(mask);
                    break;
                default:
                    break;
            }
        }
        return new SignalSetting(blocked, ignored, caught);
    }

    /// <summary>Whether a signal reaches a handler.</summary>
    public bool Reaches(int signal) => Has(Caught, signal) && !Has(Ignored, signal) && !Has(Blocked, signal);

    /// <summary>Whether it is thrown away.</summary>
    public bool Ignores(int signal) => Has(Ignored, signal);

    /// <summary>Lets signals reach the calling thread, and every thread it starts from now on.</summary>
    public static void Unblock(IEnumerable<int> signals)
    {
        const int BitsInByte = 8;
        var mask = new byte[MaskBytes];
        foreach (var signal in signals)
            mask[(signal - 1) / BitsInByte] |= (byte)(1 << ((signal - 1) % BitsInByte));
        _ = pthread_sigmask(Unblocking, mask, 0);
    }

    /// <summary>Gives a signal the handler another one has.</summary>
    public static void GiveHandler(int of, int to)
    {
        var action = new byte[ActionBytes];
        if (sigaction(of, null, action) == 0)
            _ = sigaction(to, action, null);
    }

    /// <summary>Throws a signal away from now on.</summary>
    public static void Ignore(int signal) => _ = Set(signal, Throw);

    private static bool Has(ulong mask, int signal) => (mask >> (signal - 1) & 1) != 0;

    private static ulong Mask(string text) =>
        ulong.Parse(text.Trim(), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int pthread_sigmask(int how, byte[] mask, nint before);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int sigaction(int signal, byte[]? action, byte[]? before);

    [DllImport("libc", EntryPoint = "signal")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern nint Set(int signal, nint handler);
}
