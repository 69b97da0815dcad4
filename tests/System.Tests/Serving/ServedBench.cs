using System.Text.Json.Nodes;
using LoadTest.Commands;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Serving;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SystemTests.Serving;

/// <summary>Bytes that passed a served instrument's port.</summary>
/// <param name="At">System timestamp.</param>
/// <param name="Device">Device.</param>
/// <param name="IsIn">Whether they came in.</param>
/// <param name="Bytes">The bytes.</param>
internal sealed record Passed(long At, string Device, bool IsIn, byte[] Bytes);

/// <summary>The demo bench served inside the test on a thread of its own, so that the test sees every frame.</summary>
internal sealed class ServedBench : IDisposable
{
    private const double LoadedAmperes = 20;
    private readonly TaskCompletionSource _end = new();
    private readonly TaskCompletionSource _loaded = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly List<Passed> _passed = [];
    private readonly List<(Func<Passed[], bool> IsSo, TaskCompletionSource Reached)> _looks = [];
    private readonly Pump _pump = Pump.Real();
    private readonly Thread _thread;
    private readonly DirectoryInfo _links = Directory.CreateTempSubdirectory("links");

    /// <summary>Serves it.</summary>
    /// <param name="file">Bench file.</param>
    /// <param name="change">Changes the world; null to leave it as it is.</param>
    public ServedBench(string file = "demo-modbus-tcp.yaml", Func<WorldFile, WorldFile>? change = null)
    {
        var path = ProfileFolder.Find(file, "benches");
        var screen = new Screen(TextWriter.Null, TextWriter.Null, isTerminal: false, hasColour: false, isJson: true);
        (Bench, var world) = InputFiles.ReadSimulated(screen, path, null);
        Server = new BenchServer(
            Bench,
            change is null ? world.World : change(world.World),
            _pump,
            1,
            new ServerSetting(_ => 0, _links.FullName, Trace)
        );
        _thread = new Thread(() => _pump.Run(() => _end.Task)) { IsBackground = true };
        _thread.Start();
    }

    public Bench Bench { get; }

    public BenchServer Server { get; }

    /// <summary>Completes once real current flows.</summary>
    public Task Loaded => _loaded.Task;

    /// <summary>Everything that passed so far.</summary>
    public Passed[] Passed
    {
        get
        {
            lock (_passed)
                return [.. _passed];
        }
    }

    /// <summary>The document `simulate --json` would print.</summary>
    public string Wires =>
        new JsonObject
        {
            ["secret"] = Server.Secret,
            ["instruments"] = new JsonArray([.. Server.Instruments.Select(WireText.Write)]),
        }.ToJsonString();

    /// <summary>TCP port of an instrument.</summary>
    public int Port(string instrument) =>
        ((LineText.Tcp)Server.Instruments.Single(i => i.Name == instrument).Line).Port;

    /// <summary>Completes once what passed is as asked; looked at with every frame.</summary>
    public Task UntilAsync(Func<Passed[], bool> isSo)
    {
        var reached = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        lock (_passed)
            _looks.Add((isSo, reached));
        return reached.Task.WaitAsync(TestContext.Current.CancellationToken);
    }

    /// <summary>Asks the bench something on its own thread.</summary>
    public async Task<T> AskAsync<T>(Func<BenchServer, T> ask)
    {
        var answer = new TaskCompletionSource<T>(TaskCreationOptions.RunContinuationsAsynchronously);
        _pump.Post(() => answer.SetResult(ask(Server)));
        return await answer.Task.WaitAsync(TestContext.Current.CancellationToken);
    }

    /// <summary>Injects faults at once, on the bench's own thread.</summary>
    /// <returns>How much had passed by then.</returns>
    public Task<int> StrikeAsync(params Fault[] faults) =>
        AskAsync(server =>
        {
            foreach (var fault in faults)
                server.Simulated.Inject(fault);
            return Passed.Length;
        });

    public void Dispose()
    {
        _pump.Post(() => _end.TrySetResult());
        _thread.Join();
        Server.Dispose();
        _links.Delete(recursive: true);
    }

    private void Trace(string device, bool isIn, ReadOnlyMemory<byte> bytes)
    {
        lock (_passed)
        {
            _passed.Add(new Passed(TimeProvider.System.GetTimestamp(), device, isIn, bytes.ToArray()));
            if (_looks.Count > 0)
                _looks.RemoveAll(l => l.IsSo([.. _passed]) && l.Reached.TrySetResult());
        }
        if (!_loaded.Task.IsCompleted && Server.Simulated.Truth.Amperes > LoadedAmperes)
            _loaded.TrySetResult();
    }
}
