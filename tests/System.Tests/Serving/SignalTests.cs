using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Serving;

/// <summary>A signal in mid-load, seen from the other end of the wire.</summary>
public sealed class SignalTests : IDisposable
{
    private const int Interrupt = 2;
    private const int Kill = 9;
    private const int Terminate = 15;
    private const int FileTooLarge = 25;

    // Function 15, address 0, eight coils, all zero: MODBUS application protocol V1.1b3, 6.11.
    private static readonly byte[] AllOff = [0x0F, 0x00, 0x00, 0x00, 0x08, 0x01, 0x00];

    private static readonly string[] Order =
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
    ];

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("signal");

    public void Dispose() => _folder.Delete(recursive: true);

    /// <summary>Signals whose default action is to end or stop a process that has no terminal, by signal(7) of Linux, but for those of a crash.</summary>
    public static TheoryData<string, int> EndOrStop { get; } =
        new()
        {
            { "hup", 1 },
            { "int", 2 },
            { "quit", 3 },
            { "usr1", 10 },
            { "usr2", 12 },
            { "alrm", 14 },
            { "term", 15 },
            { "stkflt", 16 },
            { "tstp", 20 },
            { "ttin", 21 },
            { "ttou", 22 },
            { "xcpu", 24 },
            { "xfsz", FileTooLarge },
            { "vtalrm", 26 },
            { "prof", 27 },
            { "io", 29 },
            { "pwr", 30 },
            { "rt35", 35 },
            { "rt64", 64 },
        };

    [Theory]
    [MemberData(nameof(EndOrStop))]
    public async Task Signal_in_mid_load_sends_all_off_before_anything_else_and_ends_the_run(string name, int signal)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "signals by their numbers on Linux");
        await Check(name, new Trial(signal, Times: name == "int" ? 2 : 1, Deaf: []));
    }

    // What a script starts in the background ignores INT and QUIT (POSIX.1-2017, shell command language, 2.11).
    [Theory]
    [InlineData("deaf-int", Interrupt, "--ignore-signal=INT,QUIT")]
    [InlineData("deaf-hup", 1, "--ignore-signal=HUP")]
    [InlineData("deaf-tstp", 20, "--ignore-signal=TSTP")]
    [InlineData("held-term", Terminate, "--block-signal=TERM,INT")]
    [InlineData("held-usr1", 10, "--block-signal=USR1")]
    public async Task Signal_inherited_as_ignored_or_blocked_removes_the_load_all_the_same(
        string name,
        int signal,
        string deafness
    )
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "started through env(1) of coreutils");
        await Check(name, new Trial(signal, Times: 1, Deaf: ["env", deafness]));
    }

    // Nothing in software survives kill -9: the bank's own watchdog drops it, and whoever comes next says all-off first.
    [Fact]
    public async Task Run_after_a_killed_one_sends_all_off_before_anything_else_and_says_what_happened()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "signals are sent with kill(2)");
        for (var attempt = 1; !await IsTakenUpAfterKill($"kill-{attempt}"); attempt++)
            Assert.True(attempt < BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
    }

    private async Task<bool> IsTakenUpAfterKill(string name)
    {
        using var bench = new ServedBench();
        var wires = Path.Combine(_folder.FullName, name + ".json");
        await File.WriteAllTextAsync(wires, bench.Wires, TestContext.Current.CancellationToken);
        string[] order = [.. Order, "--wires", wires, "--out", name];
        using (var killed = BuiltProgram.Start(_folder.FullName, readsOutput: true, order))
        {
            var ended = killed.EndAsync();
            await Task.WhenAny(bench.Loaded, ended);
            if (ended.IsCompleted)
            {
                Assert.True(BusyMachine.Ended(await ended), (await ended).ToString());
                return false;
            }
            killed.Signal(Kill);
            await ended;
        }
        while (await bench.AskAsync(s => s.Clients) > 0)
            await Task.Yield();
        var before = bench.Passed.Length;
        using var next = BuiltProgram.Start(_folder.FullName, readsOutput: true, order);
        var nextEnded = next.EndAsync();
        // The meter at the studs is asked who it is at the gate only; those of current already after the first all-off.
        await bench.UntilAsync(passed =>
            passed[before..].Any(p => p is { IsIn: true, Device: "dmm-1" } && p.Bytes.AsSpan().StartsWith("*IDN?"u8))
        );
        next.Signal(Terminate);
        var end = await nextEnded;

        Assert.True(end.Exit == 4, end.ToString());
        Assert.Equal(AllOff, Requests(bench.Passed[before..]).First().Pdu);
        Assert.Equal(0u, await bench.AskAsync(s => s.Simulated.ElementsOn));
        var remarks = JournalContents
            .Read(Path.Combine(_folder.FullName, end.Document.GetProperty("journal").GetString()!))
            .Entries.OfType<Remarked>();
        Assert.Contains(remarks, r => r.Text.Contains("was interrupted", StringComparison.Ordinal));
        return await IsClosedAsOff(name);
    }

    /// <summary>Whether the killed run was closed with its bank found off; false when no reply came in time to find that.</summary>
    private async Task<bool> IsClosedAsOff(string store)
    {
        var killed = Directory.GetDirectories(Path.Combine(_folder.FullName, store)).Min(StringComparer.Ordinal)!;
        var report = await BuiltProgram.RunAsync(_folder.FullName, "report", killed, "--json");

        Assert.Equal(4, report.Exit);
        Assert.Equal("interrupted", report.Document.GetProperty("outcome").GetString());
        Assert.Equal(0, (await BuiltProgram.RunAsync(_folder.FullName, "verify", killed)).Exit);
        return report.Document.GetProperty("bank").GetString() == "off";
    }

    private async Task Check(string name, Trial trial)
    {
        for (var attempt = 1; !await IsStoppedInMidLoad($"{name}-{attempt}", trial); attempt++)
            Assert.True(attempt < BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
    }

    /// <summary>A signal and how it is sent.</summary>
    /// <param name="Signal">Its number.</param>
    /// <param name="Times">How often it is sent.</param>
    /// <param name="Deaf">What makes the program start deaf to it; empty for nothing.</param>
    private sealed record Trial(int Signal, int Times, string[] Deaf);

    /// <summary>One run and its signal; false when the machine itself was too busy to get as far as the load.</summary>
    private async Task<bool> IsStoppedInMidLoad(string name, Trial trial)
    {
        using var bench = new ServedBench(change: w =>
            w with
            {
                Engine = w.Engine with { CrankSeconds = 0.1, LagSeconds = 0.05 },
                Alternator = w.Alternator with { BuildUpSeconds = 0.1 },
            }
        );
        var wires = Path.Combine(_folder.FullName, name + ".json");
        await File.WriteAllTextAsync(wires, bench.Wires, TestContext.Current.CancellationToken);
        string[] order = [.. Order, "--wires", wires, "--out", name];
        using var run = BuiltProgram.StartThrough(trial.Deaf, _folder.FullName, order);
        var ended = run.EndAsync();
        await Task.WhenAny(bench.Loaded, ended);
        if (ended.IsCompleted)
        {
            Assert.True(BusyMachine.Ended(await ended), (await ended).ToString());
            return false;
        }
        var before = bench.Passed.Length;
        var sent = TimeProvider.System.GetTimestamp();
        for (var k = 0; k < trial.Times; k++)
            run.Signal(trial.Signal);
        var end = await ended;
        // Complete: the signal came when all was over, because this process was not let run in time.
        if (BusyMachine.Ended(end) || end.Document.GetProperty("outcome").GetString() == "complete")
            return false;

        var (exit, outcome, code) =
            trial.Signal == FileTooLarge ? (5, "interrupted", "DISK") : (4, "stopped", "SIGNAL");
        Assert.True(end.Exit == exit, end.ToString());
        Assert.Equal(outcome, end.Document.GetProperty("outcome").GetString());
        Assert.Equal(code, end.Document.GetProperty("code").GetString());
        Assert.Equal("off", end.Document.GetProperty("bank").GetString());
        AllOffLeavesFirst(bench.Passed[before..], sent);
        Assert.Equal(0u, await bench.AskAsync(s => s.Simulated.ElementsOn));
        IsWrittenDown(Path.Combine(_folder.FullName, end.Document.GetProperty("journal").GetString()!), code);
        return true;
    }

    /// <summary>Only polling that was under way arrives before all-off; after it nothing switches anything on.</summary>
    private static void AllOffLeavesFirst(Passed[] passed, long sent)
    {
        var toBank = Requests(passed).ToArray();
        var first = Array.FindIndex(toBank, r => r.Pdu.SequenceEqual(AllOff));
        Assert.True(first >= 0, "no all-off arrived");
        Assert.DoesNotContain(toBank[..first], r => r.Pdu[0] is 0x05 or 0x06 or 0x0F or 0x10);
        var late = TimeProvider.System.GetElapsedTime(sent, toBank[first].At);
        TestContext.Current.TestOutputHelper?.WriteLine($"all-off after {late.TotalMilliseconds:0.0} ms");
        Assert.DoesNotContain(toBank[first..], r => r.Pdu[0] == AllOff[0] && !r.Pdu.SequenceEqual(AllOff));
        Assert.DoesNotContain(toBank[first..], r => r.Pdu is [0x05, _, < 8, 0xFF, ..]);
    }

    /// <summary>The bank's requests, cut out of the stream by their length field: MODBUS messaging on TCP/IP V1.0b, 3.1.3.</summary>
    private static IEnumerable<(long At, byte[] Pdu)> Requests(Passed[] passed)
    {
        const int BeforeLength = 4;
        const int Header = 7;
        var stream = new List<byte>();
        foreach (var chunk in passed.Where(p => p is { IsIn: true, Device: "bank-1" }))
        {
            stream.AddRange(chunk.Bytes);
            while (stream.Count > Header)
            {
                var length = BeforeLength + 2 + ((stream[BeforeLength] << 8) | stream[BeforeLength + 1]);
                if (stream.Count < length)
                    break;
                yield return (chunk.At, [.. stream[Header..length]]);
                stream.RemoveRange(0, length);
            }
        }
        Assert.Empty(stream);
    }

    private static void IsWrittenDown(string journal, string code)
    {
        var entries = JournalContents.Read(journal).Entries;
        var removed = Assert.Single(entries.OfType<LoadRemoved>());
        Assert.Equal(code, removed.Cause.Code);
        Assert.Contains(entries.OfType<LoadOff>(), off => off.IsConfirmed);
        Assert.IsType<RunClosed>(entries[^1]);
    }
}
