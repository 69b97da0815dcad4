using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Serving;
using LoadTest.Simulator.Faults;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Peers;

namespace LoadTest.SystemTests.Serving;

/// <summary>The bank's line over real TCP, broken, half open, slow or silent in mid-load; its own watchdog is dead, so nothing but the program opens it.</summary>
/// <remarks>Its contacts are read afterwards by mbpoll where that is installed, and by the simulator's truth.</remarks>
public sealed class LostLineTests : IDisposable
{
    private static readonly TimeSpan Long = TimeSpan.FromSeconds(30);

    // Function 15, address 0, eight coils, all zero; reading of the check value: MODBUS application protocol V1.1b3, 6.11 and 6.4.
    private static readonly byte[] AllOff = [0x0F, 0x00, 0x00, 0x00, 0x08, 0x01, 0x00];
    private static readonly byte[] WhoAreYou = [0x04, 0x00, 0x02, 0x00, 0x02];

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("lost");

    public void Dispose() => _folder.Delete(recursive: true);

    // All at once, because most of each is waiting for an engine to start.
    [Fact]
    public Task Bank_that_lost_its_line_in_mid_load_is_opened_by_the_program_and_found_off() =>
        Task.WhenAll(
            CheckAsync("reset", new Fault("line-reset", "bank-1", Value: 0.4), isHeardAgain: true),
            CheckAsync("half-open", new Fault("half-open", "bank-1", Value: 1), isHeardAgain: true),
            CheckAsync("silent", new Fault("instrument-silent", "bank-1"), isHeardAgain: false)
        );

    private async Task CheckAsync(string name, Fault fault, bool isHeardAgain)
    {
        for (var attempt = 1; !await IsShownAsync($"{name}-{attempt}", fault, isHeardAgain); attempt++)
            Assert.True(attempt < BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
    }

    /// <summary>One run and its fault; false when the machine itself was too busy to get as far as the load.</summary>
    private async Task<bool> IsShownAsync(string name, Fault fault, bool isHeardAgain)
    {
        using var bench = new ServedBench();
        var wires = Path.Combine(_folder.FullName, name + ".json");
        await File.WriteAllTextAsync(wires, bench.Wires, TestContext.Current.CancellationToken);
        using var run = BuiltProgram.Start(
            _folder.FullName,
            readsOutput: true,
            [
                "run",
                "short-check.yaml",
                "demo-300.yaml",
                "demo-modbus-tcp.yaml",
                "--operator",
                "script",
                "--date",
                "2026-11-25",
                "--json",
                "--wires",
                wires,
                "--out",
                name,
            ]
        );
        var ended = run.EndAsync();
        await Task.WhenAny(bench.Loaded, ended);
        if (ended.IsCompleted)
        {
            Assert.True(BusyMachine.Ended(await ended), (await ended).ToString());
            return false;
        }
        var before = await bench.StrikeAsync(new Fault("watchdog-dead"), fault);
        var end = await ended;
        if (end.Document.GetProperty("code").GetString() == "LATE")
            return false;

        var entries = JournalContents
            .Read(Path.Combine(_folder.FullName, end.Document.GetProperty("journal").GetString()!))
            .Entries;
        var words = string.Join(" | ", entries.OfType<LoadOff>().Select(o => o.Words));
        TestContext.Current.TestOutputHelper?.WriteLine(
            $"{name}: {end.Document.GetProperty("code").GetString()}, {words}"
        );
        var closed = Assert.IsType<RunClosed>(entries[^1]);
        Assert.Equal(isHeardAgain ? BankEnd.Off : BankEnd.OffNotConfirmed, closed.Bank);
        Assert.Equal(isHeardAgain, await bench.AskAsync(s => s.Simulated.ElementsOn) == 0);
        if (!isHeardAgain)
        {
            // The socket took every one of them; nothing says more.
            Assert.Contains("contacts not read since", words, StringComparison.Ordinal);
            Assert.Matches(@"all-off written \d+ times, answered 0 times", words);
            return true;
        }
        if (fault.Name == "line-reset")
            OwedLeavesFirst(bench.Passed[before..]);
        if (Mbpoll.IsInstalled)
            Assert.Equal("0 0 0 0 0 0 0 0", await ContactsAsync(bench));
        return true;
    }

    /// <summary>On the new connection all-off comes before any question, and the question who is there before any reading.</summary>
    private static void OwedLeavesFirst(Passed[] passed)
    {
        var asked = passed
            .Where(p => p is { IsIn: true, Device: "bank-1" })
            .Select(p => p.Bytes[7..])
            .SkipWhile(p => !p.SequenceEqual(AllOff))
            .ToArray();
        Assert.NotEmpty(asked);
        Assert.Equal(WhoAreYou, asked.First(p => !p.SequenceEqual(AllOff)));
    }

    private static Task<string> ContactsAsync(ServedBench bench) =>
        Mbpoll.ReadAsync(Mbpoll.At(bench.Port("bank-1")), "-t", "1", "-r", "0", "-c", "8");

    [Fact]
    [Trait("Category", "Peers")]
    public async Task Pump_that_hangs_while_the_line_returns_does_not_hold_the_owed_all_off_back()
    {
        Mbpoll.Demand();
        using var bench = new ServedBench();
        using var isOn = new ManualResetEventSlim();
        using var hang = new ManualResetEventSlim();
        var pump = Pump.Real();
        using var line = TcpLine.Connect(
            "bank-1",
            "127.0.0.1",
            bench.Port("bank-1"),
            isHalfDuplex: false,
            Long,
            pump,
            pump.Context
        );
        var connected = InstrumentFactory.Create(bench.Bench.Instrument("bank-1"), bench.Bench.Bank, line, pump);
        var removal = new LoadRemoval("run-1", [connected.Load!], null);
        var thread = new Thread(() =>
            pump.Run(async () =>
            {
                await connected.Load!.SwitchAsync(new ElementSet(0b101), removal.Permit(), CancellationToken.None);
                isOn.Set();
                hang.Wait();
            })
        )
        {
            IsBackground = true,
        };
        thread.Start();
        Assert.True(isOn.Wait(Long, TestContext.Current.CancellationToken));
        await UntilAsync(bench, s => s.Simulated.ElementsOn == 0b101);
        await bench.StrikeAsync(new Fault("watchdog-dead"), new Fault("line-reset", "bank-1", Value: 0.5));
        await UntilAsync(bench, s => s.Clients <= 0 || removal.AllOff.Failed > 0);
        removal.RemoveLoad(new RemovalCause("LATE", "the pump hangs"));

        await UntilAsync(bench, s => s.Simulated.ElementsOn == 0);
        TestContext.Current.TestOutputHelper?.WriteLine($"with the pump hung: {removal.AllOff.Words}");
        Assert.Equal("0 0 0 0 0 0 0 0", await ContactsAsync(bench));
        Assert.Equal(0, connected.Link.Returns);
        Assert.True(removal.AllOff is { Written: > 0, Answered: 0, Failed: 1 }, removal.AllOff.Words);
        hang.Set();
        thread.Join();
    }

    private static async Task UntilAsync(ServedBench bench, Func<BenchServer, bool> isSo)
    {
        var from = TimeProvider.System.GetTimestamp();
        while (!await bench.AskAsync(isSo))
            Assert.True(TimeProvider.System.GetElapsedTime(from) < Long, "it did not come about within 30 s");
    }
}
