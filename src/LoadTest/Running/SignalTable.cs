using System.Collections.Immutable;

namespace LoadTest.Running;

/// <summary>What a signal does to a run.</summary>
internal enum SignalMeaning
{
    /// <summary>Removes the load before anything else, and ends the run.</summary>
    RemovesLoad,

    /// <summary>
    /// Ends the process at a real fault, and no handler of ours runs: the bank's own watchdog opens it, and the next start on the bench
    /// sends all-off first. Sent by kill(1) it is left to the runtime too.
    /// </summary>
    Crash,

    /// <summary>Needed or ignored by the runtime and the C library, and left to them.</summary>
    Runtime,

    /// <summary>
    /// No program is told of it. Killed: as a crash. Stopped and let go on again: the dead man finds the silence in the heartbeat, and
    /// removes the load as for a computer that slept.
    /// </summary>
    NotCaught,
}

/// <summary>One signal.</summary>
/// <param name="Number">Its number on Linux, 1 to 64.</param>
/// <param name="Name">Its name.</param>
/// <param name="Meaning">What it does to a run.</param>
/// <param name="Words">What has happened when it comes, without a full stop.</param>
internal sealed record SignalRow(int Number, string Name, SignalMeaning Meaning, string Words)
{
    /// <summary>Whether the terminal sends it again with every try to use it, until it is ignored.</summary>
    public bool Repeats => Name is "SIGTTIN" or "SIGTTOU";
}

/// <summary>What every signal does to a run, 1 to 64.</summary>
/// <remarks>
/// Numbers and default actions: signal(7) of Linux, on x86 and Arm. Which of them the runtime needs: its own source
/// (SIGRTMIN interrupts managed threads) and the C library's (the two below). A program that is suspended watches nothing: Ctrl-Z ends a run.
/// </remarks>
internal static class SignalTable
{
    private const int FirstRealTime = 35;
    private const int Last = 64;
    private const string ToldToEnd = "The process was told to end";

    /// <summary>Every row, in the order of the numbers.</summary>
    public static ImmutableArray<SignalRow> Rows { get; } =
    [
        Removes(1, "SIGHUP", "The terminal has gone, or the process was told to end"),
        Removes(2, "SIGINT", "Ctrl-C, or the process was told to end"),
        Removes(3, "SIGQUIT", ToldToEnd),
        new(4, "SIGILL", SignalMeaning.Crash, "An instruction that is none"),
        new(5, "SIGTRAP", SignalMeaning.Crash, "A breakpoint nobody waits for"),
        new(6, "SIGABRT", SignalMeaning.Crash, "The runtime or a library gave up"),
        new(7, "SIGBUS", SignalMeaning.Crash, "Memory behind the end of its file"),
        new(8, "SIGFPE", SignalMeaning.Crash, "A division by zero in a library"),
        new(9, "SIGKILL", SignalMeaning.NotCaught, "The process was killed"),
        Removes(10, "SIGUSR1", ToldToEnd),
        new(11, "SIGSEGV", SignalMeaning.Crash, "Memory that is not there"),
        Removes(12, "SIGUSR2", ToldToEnd),
        new(13, "SIGPIPE", SignalMeaning.Runtime, "Nobody reads: ignored, the write fails instead"),
        Removes(14, "SIGALRM", ToldToEnd),
        Removes(15, "SIGTERM", ToldToEnd),
        Removes(16, "SIGSTKFLT", ToldToEnd),
        new(17, "SIGCHLD", SignalMeaning.Runtime, "A process we started has ended"),
        new(
            18,
            "SIGCONT",
            SignalMeaning.Runtime,
            "The process goes on: how long it was stopped shows in the heartbeat"
        ),
        new(19, "SIGSTOP", SignalMeaning.NotCaught, "The process was stopped"),
        Removes(20, "SIGTSTP", "Ctrl-Z: a suspended program watches nothing, so the run ends instead"),
        Removes(21, "SIGTTIN", "The program was put in the background and cannot read its terminal"),
        Removes(22, "SIGTTOU", "The program was put in the background and may not write to its terminal"),
        new(23, "SIGURG", SignalMeaning.Runtime, "Ignored by every system"),
        Removes(24, "SIGXCPU", "The process has used the processor time it was allowed"),
        Removes(25, "SIGXFSZ", "A file has reached the size this process may write"),
        Removes(26, "SIGVTALRM", ToldToEnd),
        Removes(27, "SIGPROF", ToldToEnd),
        new(28, "SIGWINCH", SignalMeaning.Runtime, "The terminal has another size"),
        Removes(29, "SIGIO", ToldToEnd),
        Removes(30, "SIGPWR", "The machine loses its power"),
        new(31, "SIGSYS", SignalMeaning.Crash, "A system call that is forbidden here"),
        new(32, "SIGCANCEL", SignalMeaning.Runtime, "The C library's own"),
        new(33, "SIGSETXID", SignalMeaning.Runtime, "The C library's own"),
        new(34, "SIGRTMIN", SignalMeaning.Runtime, "The runtime interrupts a managed thread"),
        .. Enumerable
            .Range(FirstRealTime, Last - FirstRealTime + 1)
            .Select(n => Removes(n, $"SIGRTMIN+{n - FirstRealTime + 1}", ToldToEnd)),
    ];

    /// <summary>Those that remove the load.</summary>
    public static ImmutableArray<SignalRow> RemovingLoad { get; } =
    [.. Rows.Where(r => r.Meaning == SignalMeaning.RemovesLoad)];

    /// <summary>The row of a number; null beyond the table.</summary>
    public static SignalRow? Find(int number) => number >= 1 && number <= Rows.Length ? Rows[number - 1] : null;

    private static SignalRow Removes(int number, string name, string words) =>
        new(number, name, SignalMeaning.RemovesLoad, words);
}
