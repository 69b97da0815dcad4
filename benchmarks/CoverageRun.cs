using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Benchmarks;

/// <summary>One run of a drawn bench in virtual time, with what was really so beside its record.</summary>
internal sealed class CoverageRun
{
    private static readonly TimeSpan Every = TimeSpan.FromMilliseconds(100);
    private readonly List<(TimeSpan At, Truth Truth)> _truths = [];

    private CoverageRun(WorldFile world) => World = world;

    /// <summary>The drawn world.</summary>
    public WorldFile World { get; }

    /// <summary>The run's record.</summary>
    public RunRecord Record { get; private set; } = null!;

    /// <summary>Runs the files on a drawn world.</summary>
    /// <exception cref="InvalidOperationException">The run was not completed.</exception>
    public static CoverageRun Of(RunFiles files, WorldFile world, ulong seed)
    {
        var run = new CoverageRun(world);
        var pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
        pump.Run(() => run.RunAsync(files, pump, seed));
        return run;
    }

    /// <summary>Mean of what was really so between two times.</summary>
    public double Mean(TimeSpan from, TimeSpan to, Func<Truth, double> of)
    {
        var (sum, count) = (0.0, 0);
        foreach (var (at, truth) in _truths)
        {
            if (at < from || at > to)
                continue;
            sum += of(truth);
            count++;
        }
        return count > 0 ? sum / count : double.NaN;
    }

    private async Task RunAsync(RunFiles files, Pump pump, ulong seed)
    {
        using var stand = new SimulatedStand(files.Plan!.Bench, World, pump, seed);
        await stand.ProveSimulatedAsync();
        using var storage = new VirtualStorage(null, pump, seed);
        using var journal = new JournalWriter(storage, pump);
        var session = new RunSession(
            files,
            $"coverage-{seed}",
            files.Plan.Nameplate.SerialNumber!,
            IsProvedSimulated: true,
            "",
            stand.Load,
            stand.Meters,
            new ScriptedOperator(stand.Hands, pump, "coverage", ["8.80"]),
            1L << 40
        )
        {
            Output = stand.Output,
        };
        var run = session.RunAsync(pump, journal, CancellationToken.None);
        while (!run.IsCompleted)
        {
            _truths.Add((TimeSpan.FromTicks(pump.GetTimestamp()), stand.Simulated.Truth));
            await Task.Delay(Every, pump);
        }
        var closed = await run;
        if (closed.Outcome != Outcome.Complete)
            throw new InvalidOperationException($"Seed {seed} ended {closed.Outcome} {closed.Code}: {closed.Detail}");
        Record = RunRecord.Of(JournalContents.Read(new MemoryStream(storage.Bytes.ToArray())));
    }
}
