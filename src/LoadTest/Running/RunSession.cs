using System.Collections.Immutable;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Running;

/// <summary>What one run is made of.</summary>
/// <param name="Files">The files, runnable.</param>
/// <param name="RunId">Id of the run.</param>
/// <param name="SerialNumber">Serial number of the unit under test.</param>
/// <param name="IsProvedSimulated">Whether the host proved the bench simulated.</param>
/// <param name="PreviousHead">Head of the store's previous run; empty for the first.</param>
/// <param name="Load">The bank.</param>
/// <param name="Meters">Every instrument by its id.</param>
/// <param name="Operator">Who answers.</param>
/// <param name="FreeBytes">Free space where the journal goes.</param>
internal sealed record RunSession(
    RunFiles Files,
    string RunId,
    string SerialNumber,
    bool IsProvedSimulated,
    string PreviousHead,
    ILoad Load,
    IReadOnlyDictionary<string, IMeter> Meters,
    IOperator Operator,
    long FreeBytes
)
{
    /// <summary>Told of every entry the engine appends.</summary>
    public Action<JournalEntry>? Appended { get; init; }

    /// <summary>Told of the removal and the engine once they exist, for signals, stop listeners and the dead-man thread.</summary>
    public Action<LoadRemoval, RunEngine>? Armed { get; init; }

    /// <summary>Opens the journal, passes the gate's first half, runs, closes: from the first entry to the last.</summary>
    public async Task<RunClosed> RunAsync(Pump pump, IJournal journal, CancellationToken cancel)
    {
        var plan = Files.Plan!;
        var opened = pump.GetTimestamp();
        journal.Append(
            new RunOpened(
                TimeSpan.Zero,
                RunId,
                Program.Version,
                pump.GetUtcNow(),
                SerialNumber,
                IsProvedSimulated,
                PreviousHead
            )
        );
        foreach (var (role, name, bytes) in Files.Embedded)
            journal.Append(new FileEmbedded(TimeSpan.Zero, role, name, bytes));
        var gate = await StaticGate.RunAsync(
            new StaticGateSetting(
                plan,
                Load,
                [.. Meters.Values],
                journal,
                Operator,
                pump,
                opened,
                IsProvedSimulated,
                DateOnly.FromDateTime(pump.GetUtcNow().UtcDateTime),
                FreeBytes,
                ImmutableArray<string>.Empty
            ),
            cancel
        );
        if (gate.Refusal is { } refusal)
        {
            var now = pump.GetElapsedTime(opened);
            var refused = new RunClosed(now, Outcome.Refused, refusal.Code, refusal.Found, BankEnd.NeverEnergised);
            await journal.SyncAsync(journal.Append(refused));
            return refused;
        }
        RunEngine? engine = null;
        var removal = new LoadRemoval(RunId, [Load], cause => pump.Post(() => engine!.LoadRemoved(cause)));
        engine = new RunEngine(
            new RunSetting(plan, pump, opened, Load, Meters, journal, Operator, removal, gate.Questions)
        )
        {
            Appended = Appended,
        };
        Armed?.Invoke(removal, engine);
        return await engine.RunAsync();
    }
}
