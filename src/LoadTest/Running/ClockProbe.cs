using System.Runtime.InteropServices;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Running;

/// <summary>Looks at the machine's clocks: wall, monotonic, and the one that goes on while the machine sleeps.</summary>
/// <remarks>
/// On Linux the monotonic clock stops in a sleep and CLOCK_BOOTTIME does not: their difference is the time slept. Elsewhere it cannot
/// be told so; there a sleep shows as a loop that comes late, which trips too.
/// </remarks>
internal sealed class ClockProbe
{
    private const int Monotonic = 1;
    private const int BootTime = 7;

    private const int MostTries = 5;

    /// <summary>Longest one look may take: held up in its middle, it would see a step where there is none.</summary>
    private static readonly TimeSpan LongestLook = TimeSpan.FromMilliseconds(20);

    private ClockLook? _last;

    /// <summary>One look; the last one again when the machine is too busy to look at all clocks at once.</summary>
    public ClockLook Look()
    {
        for (var tries = 1; ; tries++)
        {
            var before = TimeProvider.System.GetTimestamp();
            var wall = TimeProvider.System.GetUtcNow() - DateTimeOffset.UnixEpoch;
            var seen = new ClockLook(wall - TimeProvider.System.GetElapsedTime(0, before), Slept());
            if (TimeProvider.System.GetElapsedTime(before) <= LongestLook)
                return (_last = seen).Value;
            if (tries >= MostTries)
                return (_last ??= seen);
        }
    }

    private static TimeSpan Slept() =>
        OperatingSystem.IsLinux() && Read(Monotonic) is { } monotonic && Read(BootTime) is { } boot
            ? boot - monotonic
            : TimeSpan.Zero;

    private static TimeSpan? Read(int clock) =>
        clock_gettime(clock, out var time) == 0
            ? TimeSpan.FromSeconds(time.Seconds) + TimeSpan.FromTicks(time.Nanoseconds / TimeSpan.NanosecondsPerTick)
            : null;

    // 64-bit Linux: time_t and long are 64 bits wide.
    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int clock_gettime(int clock, out Timespec time);

    [StructLayout(LayoutKind.Sequential)]
    private readonly struct Timespec
    {
        public readonly long Seconds;
        public readonly long Nanoseconds;
    }
}
