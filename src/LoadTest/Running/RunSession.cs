using System.Collections.Immutable;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

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
    /// <summary>Told of every entry once it is appended.</summary>
    public Action<JournalEntry>? Appended { get; init; }

    /// <summary>Told of the removal before the gate, for signals: whatever happens later, it is there.</summary>
    public Action<LoadRemoval>? Guarded { get; init; }

    /// <summary>Told of the removal and the engine once they exist, for stop listeners and the dead-man thread.</summary>
    public Action<LoadRemoval, RunEngine>? Armed { get; init; }

    /// <summary>What an earlier run left to be put right, to be cleared at the gate.</summary>
    public ImmutableArray<Caution> Clearances { get; init; } = [];

    /// <summary>Worth knowing about this run's lines; remarked behind the files.</summary>
    public IReadOnlyList<string> Remarks { get; init; } = [];

    /// <summary>The relay that lets the unit give output; null where the bench has none.</summary>
    public IOutputEnable? Output { get; init; }

    /// <summary>What the proof that the bench is simulated rests on.</summary>
    public SimulationProof? Proof { get; init; }

    /// <summary>Whether a person has to confirm being there from time to time: always on a real bench.</summary>
    public bool IsAttended { get; init; } = !IsProvedSimulated;

    /// <summary>Looks at wall clock and sleep of the machine; null where time is virtual.</summary>
    public Func<ClockLook>? LookAtClocks { get; init; }

    /// <summary>Opens the journal, passes the gate's first half, runs, closes: from the first entry to the last.</summary>
    public async Task<RunClosed> RunAsync(Pump pump, IJournal journal, CancellationToken cancel)
    {
        var opened = pump.GetTimestamp();
        var told = new ToldJournal(journal, Appended);
        RunEngine? engine = null;
        using var gateEnd = CancellationTokenSource.CreateLinkedTokenSource(cancel);
        var removal = new LoadRemoval(
            RunId,
            [Load],
            cause =>
                pump.Post(() =>
                {
                    if (engine is null)
                        gateEnd.Cancel();
                    else
                        engine.LoadRemoved(cause);
                })
        )
        {
            Output = Output,
        };
        Guarded?.Invoke(removal);
        (Func<ClockLook>, ClockLook)? clocks = LookAtClocks is { } look ? (look, look()) : null;
        Open(pump, told);
        var (questions, ended) = await PassGateAsync(pump, told, opened, removal, gateEnd.Token);
        if (ended is not null)
        {
            removal.Retire();
            await told.SyncAsync(told.Append(ended));
            return ended;
        }
        engine = new RunEngine(
            new RunSetting(Files.Plan!, pump, opened, Load, Meters, journal, Operator, removal, questions)
            {
                IsAttended = IsAttended,
                Output = Output,
                Clocks = clocks,
            }
        )
        {
            Appended = Appended,
        };
        Armed?.Invoke(removal, engine);
        return await engine.RunAsync();
    }

    private void Open(Pump pump, ToldJournal journal)
    {
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
            {
                Proof = IsProvedSimulated ? Proof : null,
            }
        );
        foreach (var (role, name, bytes) in Files.Embedded)
            journal.Append(new FileEmbedded(TimeSpan.Zero, role, name, bytes));
        foreach (var remark in Remarks)
            journal.Append(new Remarked(TimeSpan.Zero, remark));
    }

    /// <summary>The gate's first half: how many questions it asked, and the last entry when the run ends here.</summary>
    private async Task<(int Questions, RunClosed? Ended)> PassGateAsync(
        Pump pump,
        ToldJournal journal,
        long opened,
        LoadRemoval removal,
        CancellationToken cancel
    )
    {
        RunClosed Ended(Outcome outcome, string code, string detail) =>
            new(pump.GetElapsedTime(opened), outcome, code, detail, BankEnd.NeverEnergised);
        RunClosed StoppedBy(RemovalCause cause)
        {
            journal.Append(new Stopped(pump.GetElapsedTime(opened), cause.Code, cause.Detail));
            return Ended(Outcome.Stopped, cause.Code, cause.Detail);
        }
        var person = new HeardOperator(Operator);
        try
        {
            var gate = await StaticGate.RunAsync(
                new StaticGateSetting(
                    Files.Plan!,
                    Load,
                    [.. Meters.Values],
                    journal,
                    person,
                    pump,
                    opened,
                    IsProvedSimulated,
                    DateOnly.FromDateTime(pump.GetUtcNow().UtcDateTime),
                    FreeBytes,
                    ImmutableArray<string>.Empty
                )
                {
                    Output = Output,
                    Clearances = Clearances,
                },
                cancel
            );
            // What the gate found after a removal cut it short says nothing about the bench.
            return removal.Latched is { } late ? (gate.Questions, StoppedBy(late))
                : gate.Refusal is { } refusal ? (gate.Questions, Ended(Outcome.Refused, refusal.Code, refusal.Found))
                : (gate.Questions, null);
        }
        catch (OperationCanceledException) when (cancel.IsCancellationRequested)
        {
            return (0, StoppedBy(removal.Latched ?? new RemovalCause("STOP", "The run was given up at the gate.")));
        }
        catch (Exception) when (person.Trouble is { } trouble)
        {
            return (0, Ended(Outcome.Interrupted, "OPERATOR", $"Nobody answers any more: {trouble}"));
        }
        catch (Exception other) when (other is not OperationCanceledException)
        {
            // Where the journal itself is the trouble, the last entry says so again by not going in.
            return (
                0,
                Ended(Outcome.Interrupted, "ERROR", $"The gate could not be finished: {SentenceText.Of(other)}")
            );
        }
    }

    /// <summary>Remembers why nobody answers any more, so that it is not taken for trouble with the journal.</summary>
    private sealed class HeardOperator(IOperator person) : IOperator
    {
        public string? Trouble { get; private set; }

        public bool IsPerson => person.IsPerson;

        public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
        {
            try
            {
                return await person.AskAsync(question, cancel);
            }
            catch (Exception trouble) when (!cancel.IsCancellationRequested)
            {
                Trouble = SentenceText.Of(trouble);
                throw;
            }
        }
    }

    /// <summary>Tells a listener of what the gate appends, as the engine tells of its own.</summary>
    private sealed class ToldJournal(IJournal journal, Action<JournalEntry>? appended) : IJournal
    {
        public long Acknowledged => journal.Acknowledged;

        public Task<string> Lost => journal.Lost;

        public long Append(JournalEntry entry)
        {
            var number = journal.Append(entry);
            appended?.Invoke(entry);
            return number;
        }

        public Task SyncAsync(long number) => journal.SyncAsync(number);
    }
}
