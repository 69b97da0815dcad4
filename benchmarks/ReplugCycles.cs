using System.Globalization;
using LoadTest.Commands;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Serving;

namespace LoadTest.Benchmarks;

/// <summary>The simulated bank's serial line pulled and put back while it is polled, again and again.</summary>
/// <remarks>
/// Server and client are on one pump. A cycle: poll for a while, so that the plug is pulled at every phase of a transaction; pull; the line
/// is told lost; put back under the same name, at another terminal; the line is told back; the first good reading, which is only
/// given once known value and serial number were asked again.
/// </remarks>
internal sealed class ReplugCycles
{
    private const string Bank = "bank-1";
    private const string Line = "replug";
    private static readonly TimeSpan Poll = TimeSpan.FromMilliseconds(5);
    private static readonly TimeSpan TooLong = TimeSpan.FromSeconds(20);

    private readonly Pump _pump = Pump.Real();
    private readonly List<TimeSpan> _losses = [];
    private readonly List<TimeSpan> _returns = [];
    private readonly List<TimeSpan> _readings = [];
    private LinkCounters? _link;
    private TaskCompletionSource _lost = new();
    private TaskCompletionSource _returned = new();

    private ReplugCycles() { }

    public int Count => _readings.Count;

    public TimeSpan LongestLoss => _losses.Max();

    public TimeSpan LongestReturn => _returns.Max();

    public TimeSpan LongestReading => _readings.Max();

    /// <summary>Ports that did not let go within a second of being closed.</summary>
    public int StuckCloses { get; private set; }

    /// <summary>More threads at the end than at the start, those of the pool not counted.</summary>
    public int ThreadsLeft { get; private set; }

    /// <summary>More open files at the end than at the start, parts of the program itself loaded meanwhile not counted.</summary>
    public int HandlesLeft { get; private set; }

    /// <summary>What the files left open are.</summary>
    public string Leftovers { get; private set; } = "";

    public static int Show(string[] args)
    {
        var count = args is [var number, ..] ? int.Parse(number, CultureInfo.InvariantCulture) : 1000;
        var folder = Directory.CreateTempSubdirectory("replug");
        var cycles = Run(folder.FullName, count, isAlone: true);
        folder.Delete(recursive: true);
        Console.WriteLine(
            "| cycles | until told lost: median, longest | until told back: median, longest | until a reading: median, longest | ports stuck | threads left | handles left |"
        );
        Console.WriteLine("|---|---|---|---|---|---|---|");
        Console.WriteLine(
            $"| {cycles.Count} | {Words(cycles._losses)} | {Words(cycles._returns)} | {Words(cycles._readings)} | {cycles.StuckCloses} | {cycles.ThreadsLeft} | {cycles.HandlesLeft} |"
        );
        Console.WriteLine($"Files not open at the start: {cycles.Leftovers}");
        return 0;
    }

    /// <summary>Carries out so many cycles.</summary>
    /// <param name="links">Folder for the port's name.</param>
    /// <param name="count">How many.</param>
    /// <param name="isAlone">Whether nothing else happens in the process; otherwise only threads and files of terminals are counted.</param>
    public static ReplugCycles Run(string links, int count, bool isAlone)
    {
        // What the first opening loads stays open; it is no leak.
        new ReplugCycles().RunAll(links, 1);
        var cycles = new ReplugCycles();
        var (threads, handles) = (Threads(isAlone), Handles(isAlone));
        cycles.RunAll(links, count);
        (cycles.ThreadsLeft, cycles.HandlesLeft) = (Threads(isAlone) - threads, Handles(isAlone).Count - handles.Count);
        cycles.Leftovers = string.Join(", ", Handles(isAlone).Except(handles, StringComparer.Ordinal));
        return cycles;
    }

    private void RunAll(string links, int count)
    {
        var screen = new Screen(TextWriter.Null, TextWriter.Null, isTerminal: false, hasColour: false, isJson: true);
        var (bench, world) = InputFiles.ReadSimulated(screen, "demo-four-wires.yaml", null);
        using var server = new BenchServer(bench, world.World, _pump, 1, new ServerSetting(_ => 0, links));
        var text = (LineText.Serial)server.Instruments.Single(i => i.Name == Bank).Line;
        var device = server.Simulated.Devices.Single(d => d.Name == Bank);
        using var line = SerialLine.Open(Line, text, _pump, _pump.Context);
        var connected = InstrumentFactory.Create(bench.Instrument(Bank), bench.Bank, line, _pump);
        var meter = connected.Meter;
        _link = connected.Link;
        (line.Lost, line.Returned) = (
            Also(line.Lost, _ => _lost.TrySetResult()),
            (line.Returned ?? throw new InvalidOperationException("nobody hears the line return"))
                + (() => _returned.TrySetResult())
        );
        _pump.Run(async () =>
        {
            for (var k = 0; k < count; k++)
                await CycleAsync(meter, device.Plugged!, k);
        });
        StuckCloses = line.StuckCloses;
    }

    private static Action<string> Also(Action<string>? first, Action<string> second) => first + second;

    private async Task CycleAsync(IMeter meter, Action<bool> plug, int k)
    {
        (_lost, _returned) = (new(), new());
        await ReadGoodAsync(meter);
        var reading = meter.ReadAsync(["volts"], CancellationToken.None);
        await Task.Delay(TimeSpan.FromMilliseconds(k % 40), _pump, CancellationToken.None);
        var pulled = _pump.GetTimestamp();
        plug(false);
        await _lost.Task.WaitAsync(TooLong, _pump, CancellationToken.None);
        _losses.Add(_pump.GetElapsedTime(pulled));
        await reading;
        await Task.Delay(TimeSpan.FromMilliseconds(k * 7 % 300), _pump, CancellationToken.None);
        var back = _pump.GetTimestamp();
        plug(true);
        await _returned.Task.WaitAsync(TooLong, _pump, CancellationToken.None);
        _returns.Add(_pump.GetElapsedTime(back));
        await ReadGoodAsync(meter);
        _readings.Add(_pump.GetElapsedTime(back));
    }

    private async Task ReadGoodAsync(IMeter meter)
    {
        var start = _pump.GetTimestamp();
        while ((await meter.ReadAsync(["volts"], CancellationToken.None))[0].Flag != IndicationFlag.Good)
        {
            if (_pump.GetElapsedTime(start) > TooLong)
                throw new InvalidOperationException(
                    $"No good reading within {TooLong.TotalSeconds:0} s after {Count} cycles: {_link?.Returns} returns, {_link?.Sent} sent, {_link?.Replies} replies, {_link?.Timeouts} time-outs, {_link?.BadFrames} bad; {_link?.LastTrouble}"
                );
            await Task.Delay(Poll, _pump, CancellationToken.None);
        }
    }

    private static int Threads(bool isAlone) =>
        Directory
            .EnumerateDirectories("/proc/self/task")
            .Select(NameOf)
            .Count(name =>
                isAlone
                    ? !name.StartsWith(".NET TP", StringComparison.Ordinal)
                    : name.Contains(Line, StringComparison.Ordinal)
            );

    private static string NameOf(string task)
    {
        try
        {
            return File.ReadAllText(Path.Combine(task, "comm"));
        }
        catch (IOException)
        {
            // It ended meanwhile.
            return ".NET TP";
        }
    }

    private static List<string> Handles(bool isAlone) =>
        [
            .. Directory
                .EnumerateFileSystemEntries("/proc/self/fd")
                .Select(h => $"{Path.GetFileName(h)} {new FileInfo(h).LinkTarget}")
                .Where(h =>
                    isAlone
                        ? !h.EndsWith(".dll", StringComparison.Ordinal) && !h.EndsWith("/fd", StringComparison.Ordinal)
                        : h.Contains("/dev/pt", StringComparison.Ordinal)
                ),
        ];

    private static string Words(List<TimeSpan> spans)
    {
        var sorted = spans.Order().ToArray();
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{sorted[sorted.Length / 2].TotalMilliseconds:0.0} ms, {sorted[^1].TotalMilliseconds:0.0} ms"
        );
    }
}
