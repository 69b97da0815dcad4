using System.Text;
using LoadTest.Analysis.Loads;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Simulator;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SystemTests.Stack;

/// <summary>One run of the whole stack in virtual time: files, gate, engine, codecs, lines, simulated bench, journal.</summary>
internal sealed class StackRun : IDisposable
{
    /// <summary>No run of a shipped profile takes longer; one that does hangs.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromHours(5);

    private static readonly string Profiles = Path.Combine(AppContext.BaseDirectory, "profiles");
    private readonly List<JournalEntry> _entries = [];
    private readonly SimulatedStand _stand;
    private LoadRemoval? _removal;
    private RunEngine? _engine;
    private TimeSpan _hand;

    private StackRun(RunFiles files, WorldFile world, ulong seed)
    {
        Files = files;
        Pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
        _stand = new SimulatedStand(Plan.Bench, world, Pump, seed);
        Seed = seed;
    }

    public ulong Seed { get; }

    public RunFiles Files { get; }

    public RunPlan Plan => Files.Plan!;

    public Pump Pump { get; }

    public SimulatedBench Bench => _stand.Simulated;

    public RunEngine Engine => _engine!;

    public LoadRemoval Removal => _removal!;

    public IReadOnlyList<JournalEntry> Entries => _entries;

    public RunClosed Closed { get; private set; } = null!;

    public byte[] Journal { get; private set; } = [];

    /// <summary>Elements really closed when the run was over.</summary>
    public ElementSet ElementsAtEnd { get; private set; }

    /// <summary>Time since the run was opened.</summary>
    public TimeSpan Now => TimeSpan.FromTicks(Pump.GetTimestamp());

    public RunRecord Record => RunRecord.Of(JournalContents.Read(new MemoryStream(Journal)));

    /// <summary>Runs; <paramref name="meanwhile"/> begins once the gate's first half is passed, on the same pump.</summary>
    public static StackRun Of(
        string profile,
        Func<StackRun, Task>? meanwhile = null,
        ulong seed = 1,
        WorldFile? world = null,
        string bench = "demo"
    )
    {
        var files = FilesOf(profile, bench);
        var path = Path.Combine(Profiles, $"benches/{bench}.yaml");
        var run = new StackRun(files, world ?? Worlds.Of(files.Plan!.Bench, path, null).World, seed);
        run.Pump.Run(() => run.RunAsync(meanwhile));
        return run;
    }

    /// <summary>Runs a shipped profile on the bench with an instrument of every kind, an output-enable relay among them.</summary>
    public static StackRun EveryKind(string profile, Func<StackRun, Task>? meanwhile = null, WorldFile? world = null)
    {
        var files = RunFiles.Read(
            Path.Combine(Profiles, $"{profile}.yaml"),
            Path.Combine(Profiles, "nameplates/demo-300.yaml"),
            Path.Combine(Profiles, "benches/every-kind.yaml")
        );
        Assert.True(files.IsRunnable, string.Join('\n', files.Findings.Select(f => f.ToString())));
        var run = new StackRun(files, world ?? WorldFile.EveryKind(), seed: 1);
        run.Pump.Run(() => run.RunAsync(meanwhile));
        return run;
    }

    /// <summary>Runs the text of a profile on the workshop bench, with auxiliary output and temperatures.</summary>
    public static StackRun Workshop(
        string profile,
        Func<StackRun, Task>? meanwhile = null,
        WorldFile? world = null,
        TimeSpan hand = default,
        ulong seed = 1
    )
    {
        var files = RunFiles.Read(
            "profile.yaml",
            Encoding.UTF8.GetBytes(profile),
            Path.Combine(Profiles, "nameplates/demo-300.yaml"),
            Path.Combine(Profiles, "benches/workshop.yaml")
        );
        Assert.True(files.IsRunnable, string.Join('\n', files.Findings.Select(f => f.ToString())));
        var run = new StackRun(files, world ?? WorldFile.Workshop(), seed) { _hand = hand };
        run.Pump.Run(() => run.RunAsync(meanwhile));
        return run;
    }

    /// <summary>The text of a shipped profile.</summary>
    public static string Shipped(string profile) => File.ReadAllText(Path.Combine(Profiles, $"{profile}.yaml"));

    public void Dispose() => _stand.Dispose();

    /// <summary>Waits until the state is as wanted, looking every 5 ms.</summary>
    public async Task Until(Predicate<RunState> reached)
    {
        while (!reached(Engine.State) && Engine.State.Phase != RunPhase.Closed)
            await Task.Delay(TimeSpan.FromMilliseconds(5), Pump);
    }

    /// <summary>Waits until a point of at least so many amperes is being measured or settled, elements on.</summary>
    public async Task UntilAtLoad(double amperes)
    {
        await Until(s => s.Step >= 0 && IsAt(s, amperes));
        await Task.Delay(TimeSpan.FromSeconds(2), Pump);
    }

    public Task Wait(double seconds) => Task.Delay(TimeSpan.FromSeconds(seconds), Pump);

    public void Strike(
        string fault,
        string? device = null,
        int? element = null,
        double? value = null,
        int? count = null
    ) => Bench.Inject(new Fault(fault, device, element, value, count));

    /// <summary>Time from the moment the studs give more than so many amperes until no contactor is closed any more.</summary>
    public async Task<TimeSpan> UntilReallyOff(double beyondAmperes)
    {
        while (Bench.Truth.Amperes <= beyondAmperes)
            await Task.Delay(TimeSpan.FromMilliseconds(1), Pump);
        var from = Now;
        while (Bench.AnyElementEnergised)
            await Task.Delay(TimeSpan.FromMilliseconds(1), Pump);
        return Now - from;
    }

    private bool IsAt(RunState state, double amperes) =>
        state.Step < Plan.Steps.Length
        && Plan.Steps[state.Step] is PointStep point
        && point.State.PredictedAmperes.Value >= amperes
        && state.Elements == point.State.All
        && Bench.Truth.Amperes > 0.9 * amperes;

    private async Task RunAsync(Func<StackRun, Task>? meanwhile)
    {
        await _stand.ProveSimulatedAsync();
        using var storage = new VirtualStorage(null, Pump, Seed);
        using var journal = new JournalWriter(storage, Pump);
        var armed = new TaskCompletionSource();
        var session = new RunSession(
            Files,
            "stack-1",
            "WG-0417",
            IsProvedSimulated: true,
            "",
            _stand.Load,
            _stand.Meters,
            new SlowHand(new ScriptedOperator(_stand.Hands, Pump, "scripted operator", ["8.8"]), Pump, _hand),
            1L << 40
        )
        {
            Output = _stand.Output,
            Appended = _entries.Add,
            Armed = (removal, engine) =>
            {
                (_removal, _engine) = (removal, engine);
                armed.SetResult();
            },
        };
        var run = session.RunAsync(Pump, journal, CancellationToken.None);
        var beside = meanwhile is null ? Task.CompletedTask : Beside(armed.Task, meanwhile);
        Closed = await run.WaitAsync(Longest, Pump);
        ElementsAtEnd = new ElementSet(Bench.ElementsOn);
        await beside;
        Journal = storage.Bytes.ToArray();
    }

    private async Task Beside(Task armed, Func<StackRun, Task> meanwhile)
    {
        await armed;
        await meanwhile(this);
    }

    private static RunFiles FilesOf(string profile, string bench) =>
        RunFiles.Read(
            Path.Combine(Profiles, $"{profile}.yaml"),
            Path.Combine(Profiles, "nameplates/demo-300.yaml"),
            Path.Combine(Profiles, $"benches/{bench}.yaml")
        );
}
