using System.Runtime.InteropServices;

namespace LoadTest.SystemTests.Killing;

/// <summary>Counts what goes out to disk and bank, and ends the process by SIGKILL at one of it: before, in the middle, or after.</summary>
/// <param name="last">Number of the last one, from 1.</param>
/// <param name="end">How it ends; null for SIGKILL.</param>
internal sealed class Life(int last, Action? end = null)
{
    private const int Kill = 9;
    private int _count;

    /// <summary>How many there were.</summary>
    public int Count => _count;

    /// <summary>One begins: the odd ones are died before.</summary>
    public void Before()
    {
        if (Interlocked.Increment(ref _count) == last && last % 2 == 1)
            End();
    }

    /// <summary>It is done: the even ones are died after.</summary>
    public void After()
    {
        if (Volatile.Read(ref _count) == last && last % 2 == 0)
            End();
    }

    /// <summary>One in parts: died between its parts, or where there is one part before or after it.</summary>
    public void Do(Action<int> deed, int parts)
    {
        if (parts == 1)
        {
            Before();
            deed(0);
            After();
            return;
        }
        var isLast = Interlocked.Increment(ref _count) == last;
        for (var part = 0; part < parts; part++)
        {
            if (part > 0 && isLast)
                End();
            deed(part);
        }
    }

    private void End()
    {
        (end ?? (() => _ = kill(Environment.ProcessId, Kill)))();
        // Nothing of this process happens any more.
        Thread.Sleep(Timeout.Infinite);
    }

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int kill(int pid, int signal);
}
