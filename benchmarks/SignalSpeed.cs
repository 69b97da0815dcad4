using System.Runtime.InteropServices;
using LoadTest.Analysis.Loads;
using LoadTest.Commands;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Serving;

namespace LoadTest.Benchmarks;

/// <summary>From a signal sent to this process to the first all-off byte: handed to the system, and read at the other end of a socket.</summary>
/// <remarks>The line is polled all the while, as in a run. Each trial has a load removal of its own, because one stays latched.</remarks>
internal static class SignalSpeed
{
    private const int Terminate = 15;
    private const int WarmUp = 50;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(5);
    private static readonly byte[] AllOff = [0x0F, 0x00, 0x00, 0x00, 0x08, 0x01, 0x00];

    public static int Run(string[] args)
    {
        var trials = args is [var count, ..] ? int.Parse(count) : 1000;
        Console.WriteLine(
            "| machine | trials | handed to the system: median, 99.9 %, highest | at the other end: median, 99.9 %, highest |"
        );
        Console.WriteLine("|---|---|---|---|");
        Measure("idle", trials, () => { });
        using var over = new ManualResetEventSlim();
        Measure("thread pool starved by 60 blocked items", trials, () => Starve(over));
        Measure("the same, and two threads that only compute and allocate", trials, () => Hog(over));
        over.Set();
        return 0;
    }

    private static void Measure(string name, int trials, Action burden)
    {
        using var server = new ServerThread();
        var client = Pump.Real();
        using var stand = new WireStand(server.Bench, server.Wires, client);
        using var signals = new Signals(isVirtual: false);
        var (sent, arrived) = (new List<double>(), new List<double>());
        client.Run(async () =>
        {
            await stand.ProveSimulatedAsync();
            burden();
            using var end = new CancellationTokenSource();
            var polling = PollAsync(stand.Load, client, end.Token);
            for (var k = 0; k < trials + WarmUp; k++)
            {
                var trial = await OneAsync(client, stand, signals, server);
                if (k < WarmUp)
                    continue;
                sent.Add(trial.Sent.TotalMilliseconds);
                arrived.Add(trial.Arrived.TotalMilliseconds);
            }
            end.Cancel();
            await polling;
        });
        Console.WriteLine($"| {name} | {trials} | {Words(sent)} | {Words(arrived)} |");
    }

    private static async Task<(TimeSpan Sent, TimeSpan Arrived)> OneAsync(
        Pump client,
        WireStand stand,
        Signals signals,
        ServerThread server
    )
    {
        await Task.Delay(Pause, client);
        var told = new TaskCompletionSource();
        var load = new StampedLoad(stand.Load);
        signals.Guard(new LoadRemoval("run-1", [load], _ => client.Post(() => told.TrySetResult())));
        server.Expect();
        var start = TimeProvider.System.GetTimestamp();
        if (kill(Environment.ProcessId, Terminate) != 0)
            throw new InvalidOperationException("kill(2) did not take the signal.");
        await told.Task;
        while (server.Arrived == 0)
            await Task.Delay(TimeSpan.FromMilliseconds(1), client);
        return (
            TimeProvider.System.GetElapsedTime(start, load.Removed),
            TimeProvider.System.GetElapsedTime(start, server.Arrived)
        );
    }

    private static async Task PollAsync(ILoad load, Pump pump, CancellationToken cancel)
    {
        while (!cancel.IsCancellationRequested)
        {
            await load.ReadStatesAsync(CancellationToken.None);
            await Task.Delay(TimeSpan.FromMilliseconds(20), pump, CancellationToken.None);
        }
    }

    internal static void Starve(ManualResetEventSlim over)
    {
        for (var k = 0; k < 60; k++)
            ThreadPool.QueueUserWorkItem(_ => over.Wait());
    }

    internal static void Hog(ManualResetEventSlim over)
    {
        for (var k = 0; k < 2; k++)
        {
            new Thread(() =>
            {
                while (!over.IsSet)
                    GC.KeepAlive(new byte[20_000]);
            })
            {
                IsBackground = true,
            }.Start();
        }
    }

    internal static string Words(List<double> values)
    {
        values.Sort();
        return $"{values[values.Count / 2]:0.00} ms, {values[(int)(values.Count * 0.999) - 1]:0.00} ms, {values[^1]:0.00} ms";
    }

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int kill(int pid, int signal);

    /// <summary>Stamps the moment an all-off was handed to the system.</summary>
    internal sealed class StampedLoad(ILoad load) : ILoad
    {
        public long Removed { get; private set; }

        public string Name => load.Name;

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            load.SwitchAsync(elements, permit, cancel);

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => load.ReadStatesAsync(cancel);

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) => load.SetFanAsync(isOn, cancel);

        public void RemoveLoad()
        {
            load.RemoveLoad();
            Removed = TimeProvider.System.GetTimestamp();
        }

        public AllOffCounts AllOff => load.AllOff;
    }

    /// <summary>The demo bench served on a thread of its own.</summary>
    internal sealed class ServerThread : IDisposable
    {
        private readonly Pump _pump = Pump.Real();
        private readonly TaskCompletionSource _end = new();
        private readonly Thread _thread;
        private readonly BenchServer _server;
        private long _arrived;

        public ServerThread()
        {
            var screen = new Screen(
                TextWriter.Null,
                TextWriter.Null,
                isTerminal: false,
                hasColour: false,
                isJson: true
            );
            (Bench, var world) = InputFiles.ReadSimulated(screen, "demo-modbus-tcp.yaml", null);
            _server = new BenchServer(
                Bench,
                world.World,
                _pump,
                1,
                new ServerSetting(_ => 0, ServerSetting.OwnLinks, Passed)
            );
            _thread = new Thread(() => _pump.Run(() => _end.Task)) { IsBackground = true };
            _thread.Start();
            Wires = new Wires(
                _server
                    .Instruments.Where(i => i.Name != BenchServer.HandsName)
                    .ToDictionary(i => i.Name, i => i.Line, StringComparer.Ordinal),
                Address((LineText.Tcp)_server.Instruments[^1].Line),
                _server.Secret
            );
        }

        public Sequencer.Benches.Bench Bench { get; }

        public Wires Wires { get; }

        public long Arrived => Volatile.Read(ref _arrived);

        public void Expect() => Volatile.Write(ref _arrived, 0);

        public void Dispose()
        {
            _pump.Post(() => _end.TrySetResult());
            _thread.Join();
            _server.Dispose();
        }

        private static System.Net.DnsEndPoint Address(LineText.Tcp line) => new(line.Host, line.Port);

        private void Passed(string device, bool isIn, ReadOnlyMemory<byte> bytes)
        {
            if (isIn && bytes.Span.IndexOf(AllOff) >= 0)
                Interlocked.CompareExchange(ref _arrived, TimeProvider.System.GetTimestamp(), 0);
        }
    }
}
