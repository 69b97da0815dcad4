using System.Runtime.InteropServices;
using LoadTest.Running;

namespace LoadTest.SystemTests.Running;

public sealed class UrgencyTests
{
    private const int RoundRobin = 2;

    [Fact]
    public void Threads_made_after_it_was_taken_have_what_the_system_gave()
    {
        Urgency? taken = null;
        var (policy, nice) = (-1, 0);
        // On a thread of its own: the tests that follow run as they are.
        Run(() =>
        {
            taken = Urgency.Take();
            Run(() => (policy, nice) = (sched_getscheduler(0), getpriority(0, 0)));
        });
        switch (taken!.Kind)
        {
            case UrgencyKind.RealTime:
                Assert.Equal(RoundRobin, policy);
                break;
            case UrgencyKind.Nice:
                Assert.Equal(-10, nice);
                break;
            default:
                Assert.NotEqual(RoundRobin, policy);
                break;
        }
    }

    [Fact]
    public void A_program_without_the_right_says_what_that_asks_of_the_person() =>
        Assert.Contains(
            "Start nothing else while the load is on",
            new Urgency(UrgencyKind.Ordinary).Words,
            StringComparison.Ordinal
        );

    private static void Run(Action work)
    {
        var thread = new Thread(() => work());
        thread.Start();
        thread.Join();
    }

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int sched_getscheduler(int thread);

    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int getpriority(int which, int thread);
}
