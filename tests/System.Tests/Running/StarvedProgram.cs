using System.Globalization;
using System.Runtime.InteropServices;
using LoadTest.Analysis.Loads;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Running;

/// <summary>A process whose thread pool does nothing any more, and which sends itself every signal that removes the load.</summary>
internal static class StarvedProgram
{
    /// <summary>First argument that makes this assembly such a process instead of tests.</summary>
    public const string Word = "one-starved-program";

    private const int Blocked = 200;
    private static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(2);

    /// <summary>A line for each signal: name, whether it reached the bank, milliseconds.</summary>
    public static int Run()
    {
        using var over = new ManualResetEventSlim();
        for (var k = 0; k < Blocked; k++)
            ThreadPool.QueueUserWorkItem(_ => over.Wait());
        foreach (var row in SignalTable.RemovingLoad)
        {
            using var signals = new Signals(isVirtual: false);
            using var bank = new Bank();
            signals.Guard(new LoadRemoval("run-1", [bank], null));
            var sent = TimeProvider.System.GetTimestamp();
            _ = kill(Environment.ProcessId, row.Number);
            var isReached = bank.Reached.Wait(LongestWait);
            var late = TimeProvider.System.GetElapsedTime(sent).TotalMilliseconds;
            Console.WriteLine(
                string.Create(CultureInfo.InvariantCulture, $"{row.Name} {(isReached ? "reached" : "lost")} {late:0.0}")
            );
        }
        over.Set();
        return 0;
    }

    private sealed class Bank : ILoad, IDisposable
    {
        public ManualResetEventSlim Reached { get; } = new();

        public string Name => "bank-1";

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            throw new NotSupportedException();

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => throw new NotSupportedException();

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) =>
            throw new NotSupportedException();

        public void RemoveLoad() => Reached.Set();

        public AllOffCounts AllOff => default;

        public void Dispose() => Reached.Dispose();
    }

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int kill(int pid, int signal);
}
