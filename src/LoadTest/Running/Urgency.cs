using System.Runtime.InteropServices;

namespace LoadTest.Running;

/// <summary>Asks the system to let this thread, and every thread it makes from now on, run before the machine's other work.</summary>
/// <remarks>
/// Taken before lines are opened, so that the pump, the threads that read lines, the journal's and the dead man's all have it: on Linux a new
/// thread has the policy of the one that made it, and the runtime's own thread priorities do nothing there. Round-robin real time at its
/// lowest level is asked for first, then a higher nice value; both need a right that a user may not have. The system's own throttle of
/// real-time work (95 % of a second, by default) stays in force. Elsewhere nothing is tried.
/// </remarks>
internal sealed record Urgency(UrgencyKind Kind)
{
    private const int RoundRobin = 2;
    private const int OfThisThread = 0;
    private const int WhichProcess = 0;
    private const int Nice = -10;

    /// <summary>One sentence for the journal.</summary>
    public string Words =>
        Kind switch
        {
            UrgencyKind.RealTime => "The program's threads run before other work on this machine (real-time priority).",
            UrgencyKind.Nice => $"The program's threads run before most other work on this machine (nice {Nice}).",
            _ =>
                "The program has no right to run before other work on this machine. Start nothing else while the load is on: a program that comes late removes it.",
        };

    /// <summary>Asks for it.</summary>
    public static Urgency Take() => new(OperatingSystem.IsLinux() ? Ask() : UrgencyKind.Ordinary);

    private static UrgencyKind Ask()
    {
        var lowest = sched_get_priority_min(RoundRobin);
        if (lowest >= 0 && pthread_setschedparam(pthread_self(), RoundRobin, ref lowest) == 0)
            return UrgencyKind.RealTime;
        return setpriority(WhichProcess, OfThisThread, Nice) == 0 ? UrgencyKind.Nice : UrgencyKind.Ordinary;
    }

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int sched_get_priority_min(int policy);

    // The thread library's own call, because it remembers the policy and gives it to new threads. struct sched_param of Linux is one int.
    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int pthread_setschedparam(nint thread, int policy, ref int priority);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern nint pthread_self();

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int setpriority(int which, int thread, int value);
}

/// <summary>What the system gave.</summary>
internal enum UrgencyKind
{
    /// <summary>No more than any other program.</summary>
    Ordinary,

    /// <summary>A higher share of the processor.</summary>
    Nice,

    /// <summary>Real-time priority, at its lowest level.</summary>
    RealTime,
}
