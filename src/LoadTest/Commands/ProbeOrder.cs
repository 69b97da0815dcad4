using System.Collections.Immutable;
using System.Globalization;
using LoadTest.Instruments;
using LoadTest.Probing;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Serving;

namespace LoadTest.Commands;

/// <summary>What a person ordered with the verb <c>probe</c>, and how it is carried out.</summary>
/// <param name="screen">Where it is shown.</param>
internal sealed class ProbeOrder(Screen screen)
{
    private static readonly TimeSpan LookEvery = TimeSpan.FromSeconds(1);

    public required string BenchFile { get; init; }
    public required string? World { get; init; }
    public required string? WiresFile { get; init; }
    public required bool IsWatching { get; init; }
    public required int? Rounds { get; init; }
    public required bool IsTracing { get; init; }
    public required bool IsAsking { get; init; }
    public required string? FindMap { get; init; }
    public required double? Known { get; init; }
    public required int Near { get; init; }
    public required double Within { get; init; }

    /// <summary>Reads the bench, holds its lines, opens them, looks, shows.</summary>
    public ExitCode CarryOut()
    {
        if (IsWatching && screen.IsJson)
            throw new CommandEnded(
                ExitCode.BadInput,
                "--watch shows table after table; --json is one document. Give one of the two."
            );
        var (bench, path) = InputFiles.ReadBench(screen, BenchFile);
        if (FindMap is not null)
            CheckFindMap(bench);
        var served = WiresFile is { } file ? Parse(file, InputFiles.Text(file)) : null;
        var inMemory = served is null && bench.Instruments.Any(i => i.Line is LineText.Simulated);
        var world = inMemory ? InputFiles.World(bench, path, World).World : null;
        var wanted = bench.Instruments.Where(i => FindMap is null || i.Id == FindMap);
        using var held = Refusing(() => BenchLock.Take(wanted.Select(i => ProbeStand.LineOf(i, served))));
        // Nothing of a bench in memory has to wait for anything but whoever watches.
        var isInMemory = served is null && bench.Wired.All(i => i.Line is LineText.Simulated);
        var pump = isInMemory && !IsWatching ? Pump.Virtual(TimeProvider.System.GetUtcNow()) : Pump.Real();
        using var stand = new ProbeStand(bench, world, served, pump, FindMap);
        if (IsTracing)
            Trace(stand, pump);
        screen.Document["bench"] = bench.Name;
        screen.Line($"{bench.Name}. Only questions are sent; nothing is switched.");
        return FindMap is null
            ? Look(bench, stand, pump)
            : new MapOrder(screen, Known!.Value, Near, Within).CarryOut(stand, pump);
    }

    private void CheckFindMap(Bench bench)
    {
        var instrument =
            bench.Instruments.FirstOrDefault(i => i.Id == FindMap)
            ?? throw new CommandEnded(
                ExitCode.BadInput,
                $"--find-map {FindMap}: the bench has no such instrument; it has {string.Join(", ", bench.Instruments.Select(i => i.Id))}."
            );
        if (!instrument.Definition.IsModbus)
            throw new CommandEnded(ExitCode.BadInput, $"--find-map {FindMap}: it is not read by registers.");
        if (Known is not { } known || known == 0 || !double.IsFinite(known))
            throw new CommandEnded(
                ExitCode.BadInput,
                "--find-map needs --known NUMBER: a value the instrument's own display shows, not 0, which every unused register holds."
            );
    }

    private ExitCode Look(Bench bench, ProbeStand stand, Pump pump)
    {
        using var end = new CancellationTokenSource();
        using var signals = new ServerSignals(() => pump.Post(end.Cancel));
        var probe = new Probe(stand, pump, IsAsking ? AskAsync : null);
        ImmutableArray<ProbeResult> results = [];
        pump.Run(async () =>
        {
            for (var round = 1; !end.IsCancellationRequested; round++)
            {
                results = await probe.LookAsync(end.Token);
                Show(bench, results, pump, round);
                if (!IsWatching || round == Rounds)
                    return;
                await WaitAsync(pump, end.Token);
            }
        });
        return results.Any(r => r.Probed.Trouble.Length > 0) ? ExitCode.Refused
            : results.Any(r => r.Troubles().Any()) ? ExitCode.NotPassed
            : ExitCode.Pass;
    }

    private void Show(Bench bench, ImmutableArray<ProbeResult> results, Pump pump, int round)
    {
        var now = pump.GetTimestamp();
        if (IsWatching)
        {
            screen.Clear();
            screen.Line($"Look {round}, {pump.GetUtcNow():HH:mm:ss} UTC. Ctrl-C ends.");
        }
        var tables = new[]
        {
            ("lines", ProbeTables.Links(results, now, pump)),
            ("readings", ProbeTables.Readings(results, bench, now, pump)),
            ("settings", ProbeTables.Settings(results)),
            ("elements", ProbeTables.Elements(results)),
        };
        foreach (var (name, table) in tables)
        {
            screen.Document[name] = Screen.Rows(table);
            if (table.Rows.Length > 0)
                screen.Table(table);
        }
        var troubles = results.SelectMany(r => r.Troubles()).ToArray();
        foreach (var trouble in troubles)
            screen.Trouble(trouble);
        var banks = results.Where(r => r.States is not null).ToArray();
        var isOff = banks.Length > 0 && banks.All(b => b.IsProvedOff);
        screen.Document["every element off"] = isOff;
        if (isOff)
            screen.Line(
                $"Every element is off, by what was commanded and by the contacts: {string.Join(", ", banks.Select(b => b.Probed.Id))}. That says nothing of the studs: they are live while the unit runs."
            );
        foreach (var other in banks.Where(b => b.Probed.Id != bench.Bank.InstrumentId))
            screen.Line(
                $"{other.Probed.Id} switches elements that `bank` does not name: a run neither switches nor removes them."
            );
        screen.Line(troubles.Length == 0 ? "Nothing to see to." : $"{troubles.Length} to see to, above.");
    }

    private static async Task WaitAsync(Pump pump, CancellationToken cancel)
    {
        try
        {
            await Task.Delay(LookEvery, pump, cancel);
        }
        catch (OperationCanceledException)
        {
            // Ctrl-C: the last look stands.
        }
    }

    // A person is waited for on the pump's own thread: nothing here moves anything meanwhile.
    private Task<string?> AskAsync(string words, CancellationToken cancel)
    {
        screen.Prompt($"{words} > ");
        return Task.FromResult(Console.In.ReadLine());
    }

    private static void Trace(ProbeStand stand, Pump pump)
    {
        foreach (var one in stand.Instruments.Where(i => i.Line is not null))
        {
            one.Line!.Passed = (isSent, bytes, at) =>
                Console.Error.WriteLine(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{pump.GetElapsedTime(0, at).TotalSeconds:F6} {one.Id} {(isSent ? "<" : ">")} {FrameWords.Hex(bytes.Span)} | {FrameWords.Meaning(one.Instrument.Definition, isSent, bytes.Span)}"
                    )
                );
        }
    }

    private static IReadOnlyDictionary<string, LineText> Parse(string file, string json)
    {
        try
        {
            return Wires.Parse(file, json).Instruments;
        }
        catch (FormatException trouble)
        {
            throw new CommandEnded(ExitCode.BadInput, trouble.Message);
        }
    }

    private static T Refusing<T>(Func<T> take)
    {
        try
        {
            return take();
        }
        catch (IOException trouble)
        {
            throw new CommandEnded(ExitCode.Refused, trouble.Message);
        }
    }
}
