using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Killing;

/// <summary>The program stopped by the system, and its journal taken away by another program, while the load is on.</summary>
public sealed class HeldUpTests : IDisposable
{
    private const int Stop = 19;
    private const int GoOn = 18;
    private const int Kill = 9;

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("held");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Program_stopped_for_ten_seconds_ends_late_with_its_whole_journal_on_disk()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "signals by their numbers on Linux");
        for (var attempt = 1; ; attempt++)
        {
            using var bench = new ServedBench();
            using var run = await LoadedAsync(bench, $"stop-{attempt}");
            if (run is null)
            {
                Assert.True(attempt < BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
                continue;
            }
            run.Signal(Stop);
            await Task.Delay(TimeSpan.FromSeconds(10), TestContext.Current.CancellationToken);
            run.Signal(GoOn);
            var end = await run.EndAsync();

            Assert.True(end.Exit == 4, end.ToString());
            Assert.Equal("LATE", end.Document.GetProperty("code").GetString());
            Assert.Equal("off", end.Document.GetProperty("bank").GetString());
            Assert.Equal(0u, await bench.AskAsync(s => s.Simulated.ElementsOn));
            var folder = Path.Combine(_folder.FullName, end.Document.GetProperty("folder").GetString()!);
            Assert.Equal(0, (await BuiltProgram.RunAsync(_folder.FullName, "verify", folder)).Exit);
            return;
        }
    }

    [Fact]
    public async Task Journal_deleted_under_load_ends_the_run_and_the_next_start_puts_all_of_it_back()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "a file in use can be deleted on Linux");
        for (var attempt = 1; ; attempt++)
        {
            using var bench = new ServedBench();
            var name = $"deleted-{attempt}";
            using var run = await LoadedAsync(bench, name);
            if (run is null)
            {
                Assert.True(attempt < BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
                continue;
            }
            var path = Assert.Single(Directory.GetDirectories(Path.Combine(_folder.FullName, name)));
            File.Delete(Path.Combine(path, "journal"));
            var end = await run.EndAsync();

            Assert.True(end.Exit == 5, end.ToString());
            Assert.Contains("INTERRUPTED(DISK): ", end.Trouble, StringComparison.Ordinal);
            Assert.Contains("was deleted or moved away by another program", end.Trouble, StringComparison.Ordinal);
            Assert.Equal(0u, await bench.AskAsync(s => s.Simulated.ElementsOn));
            Assert.False(File.Exists(Path.Combine(path, "journal")));

            await NextStartAsync(bench, name);
            var read = JournalContents.Read(Path.Combine(path, "journal"));
            Assert.Null(read.Bad);
            Assert.Equal("DISK", Assert.IsType<RunClosed>(read.Entries[^1]).Code);
            Assert.Contains(read.Entries, e => e is LoadOff { IsConfirmed: true });
            Assert.Equal(0, (await BuiltProgram.RunAsync(_folder.FullName, "verify", path)).Exit);
            return;
        }
    }

    private string[] Order(string name) =>
        [
            "run",
            MortalProgram.Profile,
            "demo-300.yaml",
            "demo-modbus-tcp.yaml",
            "--operator",
            "script",
            "--date",
            "2026-11-25",
            "--json",
            "--wires",
            Path.Combine(_folder.FullName, name + ".json"),
            "--out",
            name,
        ];

    private BuiltProgram Start(string name) =>
        BuiltProgram.StartThrough(["env", $"HOME={_folder.FullName}"], _folder.FullName, Order(name));

    /// <summary>A run with its load on; null when the machine was too busy to come so far.</summary>
    private async Task<BuiltProgram?> LoadedAsync(ServedBench bench, string name)
    {
        await File.WriteAllTextAsync(
            Path.Combine(_folder.FullName, name + ".json"),
            bench.Wires,
            TestContext.Current.CancellationToken
        );
        var run = Start(name);
        var ended = run.EndAsync();
        await Task.WhenAny(bench.Loaded, ended);
        if (!ended.IsCompleted)
            return run;
        Assert.True(BusyMachine.Ended(await ended), (await ended).ToString());
        run.Dispose();
        return null;
    }

    /// <summary>The next start, killed at its gate: it has dealt with the runs before it by then.</summary>
    private async Task NextStartAsync(ServedBench bench, string name)
    {
        var store = Path.Combine(_folder.FullName, name);
        for (var attempt = 1; Directory.GetDirectories(store).Length < 2; attempt++)
        {
            while (await bench.AskAsync(s => s.Clients) > 0)
                await Task.Yield();
            using var next = Start(name);
            var ended = next.EndAsync();
            while (!ended.IsCompleted && Directory.GetDirectories(store).Length < 2)
                await Task.Delay(20, TestContext.Current.CancellationToken);
            if (!ended.IsCompleted)
                next.Signal(Kill);
            var end = await ended;
            Assert.True(
                Directory.GetDirectories(store).Length == 2 || attempt < 2 * BusyMachine.MostAttempts,
                end.ToString()
            );
        }
    }
}
