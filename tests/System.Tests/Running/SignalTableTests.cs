using System.Runtime.InteropServices;
using LoadTest.Running;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Running;

/// <summary>The table against the system itself: its names, its default actions, and what a process of the program catches.</summary>
public sealed class SignalTableTests
{
    [Fact]
    public void Table_has_one_row_for_every_signal_from_1_to_64() =>
        Assert.Equal(Enumerable.Range(1, 64), SignalTable.Rows.Select(r => r.Number));

    // glibc's sigabbrev_np(3) names the signals of this system.
    [Fact]
    public void Names_are_those_of_the_system()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "numbers of Linux");
        foreach (var row in SignalTable.Rows.Where(r => r.Number < 32))
        {
            var name = Marshal.PtrToStringAnsi(sigabbrev_np(row.Number));
            Assert.Equal(row.Name, "SIG" + (name == "POLL" ? "IO" : name));
        }
    }

    // Default action by signal(7): whoever is ended or stopped by a signal must not be so with the load on.
    [Fact]
    public void No_signal_that_would_end_or_stop_the_process_is_left_without_a_meaning()
    {
        int[] ignoredByDefault = [17, 18, 23, 28];
        int[] runtimeOwn = [13, 32, 33, 34];
        foreach (var row in SignalTable.Rows)
        {
            Assert.Equal(
                ignoredByDefault.Contains(row.Number) || runtimeOwn.Contains(row.Number),
                row.Meaning == SignalMeaning.Runtime
            );
        }
        int[] never = [9, 19];
        Assert.Equal(never, SignalTable.Rows.Where(r => r.Meaning == SignalMeaning.NotCaught).Select(r => r.Number));
        // Synchronous at a fault: SIGILL, SIGTRAP, SIGABRT, SIGBUS, SIGFPE, SIGSEGV, SIGSYS.
        int[] faults = [4, 5, 6, 7, 8, 11, 31];
        Assert.Equal(faults, SignalTable.Rows.Where(r => r.Meaning == SignalMeaning.Crash).Select(r => r.Number));
    }

    // In a process of its own, because the pool of this one runs the tests.
    [Fact]
    public async Task Every_signal_of_the_table_reaches_the_bank_with_the_thread_pool_starved()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "signals by their numbers on Linux");
        using var program = BuiltProgram.StartOther(
            typeof(StarvedProgram).Assembly.Location,
            AppContext.BaseDirectory,
            StarvedProgram.Word
        );
        var end = await program.EndAsync();

        Assert.True(end.Exit == 0, end.ToString());
        TestContext.Current.TestOutputHelper?.WriteLine(end.Output);
        var reached = end
            .Output.Split('\n', StringSplitOptions.RemoveEmptyEntries)
            .Select(l => l.Split(' '))
            .Where(w => w[1] == "reached")
            .Select(w => w[0]);
        Assert.Equal([.. SignalTable.RemovingLoad.Select(r => r.Name)], reached.ToArray());
    }

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern nint sigabbrev_np(int signal);
}
