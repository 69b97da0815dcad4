using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Benchmarks;

/// <summary>From the last byte of a bad reading to the first byte of all-off, over Modbus TCP on loopback.</summary>
/// <remarks>
/// The machine stands in a loaded state taken from a whole run in virtual time, so that the volts of a bench at rest are a collapsed
/// source. Each trial reads the bank over the socket, hands the reading to the run machine and carries out its first command, as the
/// run's loop does, with a load removal of its own, because one stays latched. The clock starts where the line's reader thread
/// stamped the last byte of the reply.
/// </remarks>
internal static class TripSpeed
{
    private const int WarmUp = 200;
    private const ulong Seed = 1;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(2);

    public static int Run(string[] args)
    {
        var trials = args is [var count, ..] ? int.Parse(count) : 10_000;
        var (plan, state) = Loaded();
        Console.WriteLine(
            "| machine | trips | handed to the system: median, 99.9 %, highest | at the other end: median, 99.9 %, highest |"
        );
        Console.WriteLine("|---|---|---|---|");
        Measure("idle", trials, plan, state, () => { });
        using var over = new ManualResetEventSlim();
        Measure("thread pool starved by 60 blocked items", trials, plan, state, () => SignalSpeed.Starve(over));
        Measure(
            "the same, and two threads that only compute and allocate",
            trials,
            plan,
            state,
            () => SignalSpeed.Hog(over)
        );
        over.Set();
        return 0;
    }

    /// <summary>A plan, and what the run machine remembers in a loaded state.</summary>
    private static (RunPlan Plan, RunState State) Loaded()
    {
        var benchPath = ProfileFolder.Find("demo-modbus-tcp.yaml", "benches");
        var files = RunFiles.Read(
            ProfileFolder.Find("short-check.yaml", ""),
            ProfileFolder.Find("demo-300.yaml", "nameplates"),
            benchPath
        );
        var world = Worlds.Of(files.Plan!.Bench, benchPath, null);
        var pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
        using var stand = new SimulatedStand(files.Plan.Bench, world.World, pump, Seed);
        RunState? loaded = null;
        pump.Run(async () =>
        {
            await stand.ProveSimulatedAsync();
            using var journal = new JournalWriter(new VirtualStorage(null, pump, Seed), pump);
            RunEngine? engine = null;
            var session = new RunSession(
                files,
                "benchmark",
                files.Plan.Nameplate.SerialNumber!,
                IsProvedSimulated: true,
                "",
                stand.Load,
                stand.Meters,
                new ScriptedOperator(stand.Hands, pump, "benchmark", ["8.8"]),
                1L << 40
            )
            {
                Armed = (_, made) => engine = made,
                Appended = entry =>
                    loaded =
                        loaded is null && entry is Scanned && engine?.State is { } now && Trips(files.Plan, now)
                            ? engine.State
                            : loaded,
            };
            return await session.RunAsync(pump, journal, CancellationToken.None);
        });
        return (files.Plan, loaded ?? throw new InvalidOperationException("The run came to no loaded point."));
    }

    private static bool Trips(RunPlan plan, RunState state)
    {
        if (state is not { Phase: RunPhase.Stepping, Elements.IsEmpty: false })
            return false;
        var at = state.LastGood.Max(r => r.At);
        var (_, commands) = RunMachine.Next(
            plan,
            state,
            new ReadingsArrived(at, [.. state.LastGood.Take(2).Select(r => r with { Value = 0, At = at })])
        );
        return commands is [RemoveLoadNow, ..];
    }

    private static void Measure(string name, int trials, RunPlan plan, RunState state, Action burden)
    {
        using var server = new SignalSpeed.ServerThread();
        var client = Pump.Real();
        using var stand = new WireStand(server.Bench, server.Wires, client);
        var (sent, arrived) = (new List<double>(), new List<double>());
        client.Run(async () =>
        {
            await stand.ProveSimulatedAsync();
            burden();
            for (var k = 0; k < trials + WarmUp; k++)
            {
                var trial = await OneAsync(client, stand, server, plan, state);
                if (k < WarmUp)
                    continue;
                sent.Add(trial.Sent.TotalMilliseconds);
                arrived.Add(trial.Arrived.TotalMilliseconds);
            }
        });
        Console.WriteLine($"| {name} | {trials} | {SignalSpeed.Words(sent)} | {SignalSpeed.Words(arrived)} |");
    }

    private static async Task<(TimeSpan Sent, TimeSpan Arrived)> OneAsync(
        Pump client,
        WireStand stand,
        SignalSpeed.ServerThread server,
        RunPlan plan,
        RunState state
    )
    {
        await Task.Delay(Pause, client);
        var bank = plan
            .Bench.Channels.Index()
            .Where(c => c.Item.InstrumentId == plan.Bench.Bank.InstrumentId)
            .ToArray();
        var load = new SignalSpeed.StampedLoad(stand.Load);
        var removal = new LoadRemoval("run-1", [load], null);
        server.Expect();
        var read = await stand
            .Meters[plan.Bench.Bank.InstrumentId]
            .ReadAsync([.. bank.Select(c => c.Item.Input)], CancellationToken.None);
        var at = state.LastGood.Max(r => r.At);
        var (_, commands) = RunMachine.Next(
            plan,
            state,
            new ReadingsArrived(at, [.. bank.Zip(read, (c, i) => new Reading(c.Index, i.Value, i.Flag, at))])
        );
        if (commands[0] is not RemoveLoadNow removed)
            throw new InvalidOperationException("The reading did not trip.");
        removal.RemoveLoad(removed.Cause);
        var stamped = read.Max(i => i.Timestamp);
        // Both clocks tick from different origins: what lies between now on either is the same moment.
        var (pumpNow, systemNow) = (client.GetTimestamp(), TimeProvider.System.GetTimestamp());
        var lastByte = systemNow - (long)((pumpNow - stamped) * (TimeProvider.System.TimestampFrequency / 1e7));
        while (server.Arrived == 0)
            await Task.Delay(TimeSpan.FromMilliseconds(1), client);
        return (
            TimeProvider.System.GetElapsedTime(lastByte, load.Removed),
            TimeProvider.System.GetElapsedTime(lastByte, server.Arrived)
        );
    }
}
