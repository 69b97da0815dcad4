using System.Globalization;
using LoadTest.Instruments.Line;
using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.SystemTests.Running;
using Xunit.MicrosoftTestingPlatform;
using Xunit.Runner.InProc.SystemConsole;

namespace LoadTest.SystemTests.Killing;

/// <summary>A run as the program does it, around its own pieces, that dies by SIGKILL at the n-th journal write, sync or frame to the bank.</summary>
/// <remarks>
/// This test assembly started as a program of its own; the program itself has no such switch. It says on standard output which
/// frames were acknowledged, as soon as they were.
/// </remarks>
internal static class MortalProgram
{
    /// <summary>First argument that makes this assembly one run instead of tests.</summary>
    public const string Word = "one-mortal-run";

    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    /// <summary>Profile that is run.</summary>
    public static string Profile => Path.Combine(AppContext.BaseDirectory, "data/killed.yaml");

    // The runner's own entry point, with the one word before it that it does not know.
    private static async Task<int> Main(string[] args) =>
        args is [Word, var wires, var store, var last, .. var fault]
            ? Run(wires, store, new Life(int.Parse(last, CultureInfo.InvariantCulture), Fault.Find(fault)))
        : args is [StarvedProgram.Word] ? StarvedProgram.Run()
        : args.Any(arg => arg is "--server" or "--internal-msbuild-node")
            ? await TestPlatformTestFramework.RunAsync(args, SelfRegisteredExtensions.AddSelfRegisteredExtensions)
        : await ConsoleRunner.Run(args);

    private static int Run(string wiresFile, string store, Life life)
    {
        var bench = ProfileFolder.Find("demo-modbus-tcp.yaml", "benches");
        var files = RunFiles.Read(Profile, ProfileFolder.Find("demo-300.yaml", "nameplates"), bench);
        var pump = Pump.Paced(1, Start);
        var wires = Wires.Parse(wiresFile, File.ReadAllText(wiresFile));
        using var stand = new WireStand(
            files.Plan!.Bench,
            wires,
            pump,
            line => line.Name == files.Plan.Bench.Bank.InstrumentId ? new MortalLine(line, life) : line
        );
        pump.Run(stand.ProveSimulatedAsync);
        var start = BenchStart.Make(files.Plan, stand, store, pump);
        var host = new RunHost(files, RunStore.FreeId(store, "mortal"), "WG-0417", store, pump, seed: 1)
        {
            Storage = (path, p) => new ToldStorage(Mortal(path, p, life)),
        };
        var person = new ScriptedOperator(stand.Hands!, pump, "scripted operator", [])
        {
            Thinking = TimeSpan.FromMilliseconds(20),
        };
        using var signals = new Signals(pump.IsVirtual);
        var (record, _) = host.Run(stand, person, start, signals);
        Console.WriteLine($"done {life.Count} {record.Outcome} {record.Closed?.Code}");
        return 0;
    }

    private static FileStorage Mortal(string path, Pump pump, Life life)
    {
        var file = new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.Read, bufferSize: 0);
        return new FileStorage(
            new MortalStream(file, life),
            () => life.Do(_ => file.Flush(flushToDisk: true), parts: 1),
            pump.Context,
            JournalWriter.LongestExposure
        );
    }

    /// <summary>Says what was acknowledged before anybody may act on it.</summary>
    private sealed class ToldStorage(IJournalStorage inner) : IJournalStorage
    {
        public Action<long, IOException?>? Synced
        {
            get => inner.Synced;
            set =>
                inner.Synced = (count, error) =>
                {
                    value?.Invoke(count, error);
                    Console.WriteLine($"acknowledged {count}");
                    Console.Out.Flush();
                };
        }

        public void Append(ReadOnlySpan<byte> frame) => inner.Append(frame);

        public void RequestSync() => inner.RequestSync();

        public void Dispose() => inner.Dispose();
    }

    private sealed class MortalStream(FileStream file, Life life) : MemoryStream
    {
        public override void Write(byte[] buffer, int offset, int count) =>
            life.Do(
                part => file.Write(buffer, offset + count * part / 2, count * (part + 1) / 2 - count * part / 2),
                parts: 2
            );

        protected override void Dispose(bool disposing)
        {
            file.Dispose();
            base.Dispose(disposing);
        }
    }

    private sealed class MortalLine(ILine line, Life life) : ILine
    {
        public string Name => line.Name;

        public bool IsHalfDuplex => line.IsHalfDuplex;

        public Action<ReadOnlyMemory<byte>, long>? Received
        {
            get => line.Received;
            set => line.Received = value;
        }

        public Action<string>? Lost
        {
            get => line.Lost;
            set => line.Lost = value;
        }

        public Action<Action>? Reopened
        {
            get => line.Reopened;
            set => line.Reopened = value;
        }

        public Action? Returned
        {
            get => line.Returned;
            set => line.Returned = value;
        }

        public void Send(ReadOnlySpan<byte> bytes)
        {
            life.Before();
            line.Send(bytes);
            life.After();
        }
    }
}
