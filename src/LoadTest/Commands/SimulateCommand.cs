using System.CommandLine;
using System.Text.Json.Nodes;
using LoadTest.Reports;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;
using LoadTest.Serving;

namespace LoadTest.Commands;

/// <summary>The verb <c>simulate</c>: a simulated bench on wires of this machine, until it is told to end.</summary>
internal static class SimulateCommand
{
    public static Command Create()
    {
        var (bench, seed, world) = (CommonOptions.Bench(), CommonOptions.Seed(), CommonOptions.World());
        var port = new Option<int?>("--port")
        {
            Description =
                "First port, the other instruments on those after it; 0 for any free ones. Without it those of the bench file. A port that is taken is replaced by a free one.",
            HelpName = "N",
            CustomParser = r => CommonOptions.Whole(r, 0, 65000),
        };
        var links = new Option<string?>("--links")
        {
            Description =
                "Folder for the names of serial lines, one an instrument, each a link to its pseudo-terminal. Without it a folder of this process among the temporary files.",
            HelpName = "FOLDER",
        };
        var verbose = new Option<bool>("--verbose") { Description = "Every frame on standard error, in hexadecimal." };
        return Verb.Create(
            "simulate",
            "Serves a simulated bench on loopback TCP and, for instruments on serial lines, on pseudo-terminals, until Ctrl-C, for trying a profile or another program before the real thing.",
            "loadtest simulate demo-modbus-tcp.yaml --json",
            [bench, seed, world, port, links, verbose],
            (parsed, screen) =>
                Simulate(
                    screen,
                    parsed.GetRequiredValue(bench),
                    parsed.GetValue(seed),
                    parsed.GetValue(world),
                    parsed.GetValue(port),
                    parsed.GetValue(links),
                    parsed.GetValue(verbose)
                )
        );
    }

    private static ExitCode Simulate(
        Screen screen,
        string file,
        ulong seed,
        string? worldFile,
        int? first,
        string? links,
        bool isVerbose
    )
    {
        var (bench, world) = InputFiles.ReadSimulated(screen, file, worldFile);
        var pump = Pump.Real(isExact: true);
        Action<string, bool, ReadOnlyMemory<byte>>? trace = isVerbose
            ? (device, isIn, bytes) => Trace(pump.GetElapsedTime(0), device, isIn, bytes.Span)
            : null;
        var end = new TaskCompletionSource();
        using var ending = new ServerSignals(() => pump.Post(() => end.TrySetResult()));
        using var server = InputFiles.Guarded(() =>
            new BenchServer(
                bench,
                world.World,
                pump,
                seed,
                new ServerSetting(k => Port(bench, first, k), links ?? ServerSetting.OwnLinks, trace)
            )
        );
        Show(screen, bench, server, seed);
        pump.Run(() => end.Task);
        return ExitCode.Pass;
    }

    private static int Port(Bench bench, int? first, int place) =>
        first is { } number ? (number == 0 ? 0 : number + place)
        : bench.Wired.ElementAtOrDefault(place)?.Line is LineText.Tcp tcp ? tcp.Port
        : 0;

    private static void Show(Screen screen, Bench bench, BenchServer server, ulong seed)
    {
        screen.Document["bench"] = bench.Name;
        screen.Document["seed"] = seed;
        screen.Document["secret"] = server.Secret;
        screen.Document["instruments"] = new JsonArray([.. server.Instruments.Select(WireText.Write)]);
        screen.Emit();
        screen.Line($"{Report.SimulatedMark}.");
        screen.Line($"{bench.Name}, seed {seed}, served on this machine:");
        screen.Table(
            new TextTable(
                "Lines",
                [new("instrument", false), new("protocol", false), new("address", false), new("unit", true)],
                [
                    .. server.Instruments.Select(i =>
                        System.Collections.Immutable.ImmutableArray.Create(
                            i.Name,
                            i.Protocol,
                            WireText.Words(i.Line),
                            $"{i.Unit}"
                        )
                    ),
                ]
            )
        );
        screen.Line($"Secret of this start: {server.Secret}");
        screen.Line("Serving until Ctrl-C.");
    }

    private static void Trace(TimeSpan at, string device, bool isIn, ReadOnlySpan<byte> bytes) =>
        Console.Error.WriteLine($"{at.TotalSeconds:F6} {device} {(isIn ? "<" : ">")} {Convert.ToHexString(bytes)}");
}
