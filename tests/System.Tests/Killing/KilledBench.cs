using System.Globalization;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Killing;

/// <summary>What one kill showed.</summary>
/// <param name="WasOn">Elements closed at the moment of the kill.</param>
/// <param name="Frames">Frames in the journal afterwards.</param>
/// <param name="Torn">Bytes of a torn end.</param>
/// <param name="IsHit">False when the run had ended before the kill could strike.</param>
/// <param name="IsConfirmed">Whether the next start could confirm that the load was off.</param>
internal sealed record Killed(uint WasOn, int Frames, long Torn, bool IsHit, bool IsConfirmed = true);

/// <summary>A served bench on which one run is killed and the next one started.</summary>
internal sealed class KilledBench : IDisposable
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 9, 0, 0, TimeSpan.Zero);
    private readonly ServedBench _bench = new(change: w =>
        w with
        {
            Engine = w.Engine with { CrankSeconds = 0.1, LagSeconds = 0.05 },
            Alternator = w.Alternator with { BuildUpSeconds = 0.1 },
        }
    );
    private const int MostStarts = 5;
    private readonly string _folder;

    public KilledBench(string folder)
    {
        _folder = folder;
        File.WriteAllText(Wires, _bench.Wires);
    }

    public string Wires => Path.Combine(_folder, "wires.json");

    public string Store => Path.Combine(_folder, "runs");

    private string[] Order =>
        [
            "run",
            MortalProgram.Profile,
            "demo-300.yaml",
            "demo-modbus-tcp.yaml",
            "--operator",
            "script",
            "--date",
            "2026-11-25",
            "--wires",
            Wires,
            "--out",
            Store,
        ];

    /// <summary>Elements the bank was last told to have on.</summary>
    public uint LastCommanded { get; private set; }

    public void Dispose() => _bench.Dispose();

    /// <summary>The program itself, killed after a time.</summary>
    public async Task<Killed> KillProgramAsync(TimeSpan after, bool isFollowedByItself)
    {
        using var program = BuiltProgram.Start(_folder, readsOutput: true, Order);
        var ended = program.EndAsync();
        var isHit = await Task.WhenAny(ended, Task.Delay(after)) != ended;
        var on = await _bench.AskAsync(s => s.Simulated.ElementsOn);
        if (isHit)
            program.Signal(9);
        await ended;
        var killed = Look(on, acknowledged: 0, isHit);
        if (isFollowedByItself)
            await StartProgramAsync();
        else
            await StartHere();
        return killed with { IsConfirmed = await Held() };
    }

    /// <summary>A run around the program's pieces that dies at its n-th write, sync or frame to the bank.</summary>
    /// <param name="number">Number of the write, sync or frame.</param>
    /// <param name="fault">Name of a fault that ends it; null for SIGKILL.</param>
    public async Task<Killed> KillAtAsync(int number, string? fault = null)
    {
        var killed = 128 + (fault is null ? 9 : Fault.Signals[fault]);
        using var program = BuiltProgram.StartOther(
            typeof(MortalProgram).Assembly.Location,
            _folder,
            [MortalProgram.Word, Wires, Store, $"{number}", .. fault is null ? [] : new[] { fault }]
        );
        var end = await program.EndAsync();
        var said = end.Output.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        var acknowledged = said.LastOrDefault(l => l.StartsWith("acknowledged", StringComparison.Ordinal));
        Assert.True(
            end.Exit == killed || said is [.., var last] && last.StartsWith("done", StringComparison.Ordinal),
            end.ToString()
        );
        var seen = Look(
            await _bench.AskAsync(s => s.Simulated.ElementsOn),
            acknowledged is null ? 0 : long.Parse(acknowledged.Split(' ')[1], CultureInfo.InvariantCulture),
            end.Exit == killed
        );
        if (end.Exit != killed)
            TestContext.Current.TestOutputHelper?.WriteLine($"not reached {number}: {said[^1]}");
        LastCommanded = BankWrites.Of(_bench.Passed).LastOrDefault();
        await StartHere();
        return seen with { IsConfirmed = await Held() };
    }

    /// <summary>How long the program takes for a whole run.</summary>
    public async Task<TimeSpan> TimeAsync()
    {
        var began = TimeProvider.System.GetTimestamp();
        await BuiltProgram.RunAsync(_folder, Order);
        return TimeProvider.System.GetElapsedTime(began);
    }

    /// <summary>How many writes, syncs and frames a whole run takes.</summary>
    public async Task<int> CountAsync()
    {
        using var program = BuiltProgram.StartOther(
            typeof(MortalProgram).Assembly.Location,
            _folder,
            MortalProgram.Word,
            Wires,
            Store,
            "0"
        );
        var end = await program.EndAsync();
        var done = end.Output.Split('\n').Single(l => l.StartsWith("done", StringComparison.Ordinal)).Split(' ');
        TestContext.Current.TestOutputHelper?.WriteLine($"whole run: {string.Join(' ', done)}");
        return int.Parse(done[1], CultureInfo.InvariantCulture);
    }

    /// <summary>Right after the kill: readable, nothing acknowledged missing, and every set of elements the bank was given intended.</summary>
    private Killed Look(uint on, long acknowledged, bool isHit)
    {
        if (!Directory.Exists(Store))
        {
            Assert.Equal(0u, on);
            return new Killed(on, 0, 0, isHit);
        }
        var path = Assert.Single(Directory.GetDirectories(Store));
        var journal = Path.Combine(path, "journal");
        if (!File.Exists(journal))
        {
            Assert.Equal((0u, 0), (on, acknowledged));
            return new Killed(on, 0, 0, isHit);
        }
        var read = JournalContents.Read(journal);
        Assert.True(read.Bad is null or { Cause: BadFrameCause.Truncated }, read.Bad?.ToString());
        Assert.True(
            read.Entries.Length >= acknowledged,
            $"{read.Entries.Length} of {acknowledged} acknowledged frames"
        );
        var intended = read.Entries.OfType<SwitchIntended>().Select(s => s.Elements.Mask).ToHashSet();
        Assert.Empty(BankWrites.Of(_bench.Passed).Where(w => w != 0).Except(intended));
        var length = new FileInfo(journal).Length;
        return new Killed(on, read.Entries.Length, read.Bad is { } bad ? length - bad.Offset : 0, isHit);
    }

    /// <summary>The next start, until it has dealt with the run before it; then it is killed too, at its gate.</summary>
    /// <remarks>One that a busy machine keeps from its lines in time is refused before it could do anything, and made again.</remarks>
    private async Task StartProgramAsync()
    {
        var before = Runs();
        for (var attempt = 1; Runs() == before; attempt++)
        {
            await Free();
            using var next = BuiltProgram.Start(_folder, readsOutput: true, Order);
            var ended = next.EndAsync();
            // The folder of its own run comes after everything about the one before.
            while (!ended.IsCompleted && Runs() == before)
                await Task.Delay(20);
            if (!ended.IsCompleted)
                next.Signal(9);
            var end = await ended;
            Assert.True(Runs() > before || (end.Exit == 3 && attempt < MostStarts), end.ToString());
        }
    }

    private async Task StartHere()
    {
        await Free();
        var pump = Pump.Paced(1, Start);
        var bench = ProfileFolder.Find("demo-modbus-tcp.yaml", "benches");
        var files = RunFiles.Read(MortalProgram.Profile, ProfileFolder.Find("demo-300.yaml", "nameplates"), bench);
        using var stand = new WireStand(files.Plan!.Bench, LoadTest.Running.Wires.Parse("wires", _bench.Wires), pump);
        pump.Run(stand.ProveSimulatedAsync);
        BenchStart.Make(files.Plan, stand, Store, pump);
    }

    private int Runs() => Directory.Exists(Store) ? Directory.GetDirectories(Store).Length : 0;

    private async Task Free()
    {
        while (await _bench.AskAsync(s => s.Clients) > 0)
            await Task.Delay(5);
    }

    /// <summary>After the next start: bank really off, the broken run closed, its record made and its chain whole.</summary>
    private async Task<bool> Held()
    {
        Assert.Equal(0u, await _bench.AskAsync(s => s.Simulated.ElementsOn));
        if (!Directory.Exists(Store))
            return true;
        var path = Directory.GetDirectories(Store).Min(StringComparer.Ordinal)!;
        var journal = Path.Combine(path, "journal");
        if (!File.Exists(journal))
            return true;
        var read = JournalContents.Read(journal);
        if (read.Entries.IsEmpty)
            return true;
        Assert.Null(read.Bad);
        Assert.True(read.IsClosed);
        var closed = (RunClosed)read.Entries[^1];
        Assert.True(File.Exists(Path.Combine(path, "record.json")));
        Assert.True(File.Exists(Path.Combine(path, "report.html")));
        return closed.Code != "CRASH" || closed.Bank != BankEnd.OffNotConfirmed;
    }
}
