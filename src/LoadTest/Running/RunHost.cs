using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Running;

/// <summary>Everything around one run: folder, journal, signals, dead man, clocks, sleep, documents.</summary>
/// <param name="files">The files, runnable.</param>
/// <param name="runId">Id of the run, free in the store.</param>
/// <param name="serialNumber">Serial number of the unit.</param>
/// <param name="store">Folder of all runs.</param>
/// <param name="pump">The pump.</param>
/// <param name="seed">Seed of the storage in virtual time.</param>
internal sealed class RunHost(RunFiles files, string runId, string serialNumber, string store, Pump pump, ulong seed)
{
    private static readonly TimeSpan LookForSignalEvery = TimeSpan.FromMilliseconds(100);

    /// <summary>Whether diagnostics go to standard error too.</summary>
    public bool IsVerbose { get; init; }

    /// <summary>Worth knowing about the machine this runs on, for the journal.</summary>
    public IReadOnlyList<string> Remarks { get; init; } = [];

    /// <summary>Where the journal at a path goes: a file, and in virtual time memory and one file at the end.</summary>
    public Func<string, Pump, IJournalStorage> Storage { get; init; } =
        (path, pump) => pump.IsVirtual ? new VirtualStorage(path, pump, seed) : FileStorage.Create(path, pump.Context);

    /// <summary>Told of every entry, on the pump.</summary>
    public Action<JournalEntry>? Appended { get; init; }

    /// <summary>Told of the removal before anything can be energised, for whoever else may stop the run.</summary>
    public Action<LoadRemoval>? Guarded { get; init; }

    /// <summary>Runs, and writes what follows from the journal.</summary>
    /// <param name="stand">The bench, connected; with the simulator's hands where it is proved simulated.</param>
    /// <param name="person">Who answers.</param>
    /// <param name="start">How the bench was started.</param>
    /// <param name="signals">What brings the signals of this process; removes the load from the gate on.</param>
    /// <returns>The record, and its folder.</returns>
    /// <exception cref="IOException">Storage is in trouble.</exception>
    public (RunRecord Record, RunFolder Folder) Run(IStand stand, IOperator person, BenchStart start, Signals signals)
    {
        using var folder = RunFolder.Create(store, runId);
        using var log = new RunLog(folder.Log, IsVerbose);
        log.Note("Run {Run} of version {Version} in {Folder}", runId, Program.Version, folder.Path);
        (RunClosed Closed, JournalWriter Journal) ended;
        try
        {
            ended = Conduct(stand, person, folder, start, signals, log);
        }
        catch (Exception trouble)
        {
            log.Wrong(trouble, "The run broke off");
            throw;
        }
        if (ended.Journal.Trouble is not null)
            throw new IOException(RestFile.Save(ended.Closed, ended.Journal, folder));
        var (record, _) = RunDocuments.Write(folder, keepsRecord: false);
        log.Note("Documents written; verdict {Verdict}", record.Overall.Words);
        return (record, folder);
    }

    private (RunClosed Closed, JournalWriter Journal) Conduct(
        IStand stand,
        IOperator person,
        RunFolder folder,
        BenchStart start,
        Signals signals,
        RunLog log
    )
    {
        JournalWriter? kept = null;
        var closed = pump.Run(async () =>
        {
            using var journal = kept = new JournalWriter(Storage(folder.Journal, pump), pump);
            using var look = pump.IsVirtual
                ? pump.CreateTimer(_ => signals.Look(), null, LookForSignalEvery, LookForSignalEvery)
                : null;
            DeadMan? deadMan = null;
            LoadRemoval? removal = null;
            try
            {
                var session = Session(stand, person, start) with
                {
                    Guarded = made =>
                    {
                        removal = made;
                        signals.Guard(made);
                        Guarded?.Invoke(made);
                    },
                    // Told of the intent, which is durable before its command goes out: from then on a pump that hangs is dangerous.
                    Appended = entry =>
                    {
                        if (entry is SwitchIntended or OutputIntended && !pump.IsVirtual)
                            deadMan ??= new DeadMan(pump, removal!);
                        log.Entry(entry);
                        Appended?.Invoke(entry);
                    },
                };
                return await session.RunAsync(pump, journal, CancellationToken.None);
            }
            finally
            {
                deadMan?.Dispose();
            }
        });
        NoteLinks(stand, log);
        if (!pump.IsVirtual)
            log.Note(
                "Signs of life: {Longest} ms apart at most; {Counts} gaps of up to {Edges} ms and longer",
                pump.Heart.Longest.TotalMilliseconds,
                pump.Heart.Counts,
                Heartbeat.ClassEdges
            );
        log.Note("Closed {Outcome} {Code}: {Detail}", closed.Outcome, closed.Code, closed.Detail);
        log.Note("Frames waited {Exposure} at most until they were durable", kept!.Exposure);
        return (closed, kept);
    }

    private static void NoteLinks(IStand stand, RunLog log)
    {
        foreach (var (name, link) in stand.Links)
        {
            log.Note(
                "Link {Instrument}: {Sent} sent, {Replies} replies, {Timeouts} time-outs, {Discarded} discarded, {Bad} bad, {Urgent} urgent; {Trouble}",
                name,
                link.Sent,
                link.Replies,
                link.Timeouts,
                link.Discarded,
                link.BadFrames,
                link.Urgent,
                link.LastTrouble
            );
        }
    }

    private RunSession Session(IStand stand, IOperator person, BenchStart start) =>
        new(
            files,
            runId,
            serialNumber,
            stand.Hands is not null,
            start.Previous?.Head ?? "",
            stand.Load,
            stand.Meters,
            person,
            FreeBytes()
        )
        {
            Output = stand.Output,
            Proof = stand.Proof,
            Clearances = start.Clearances,
            Remarks = [.. stand.Remarks, .. start.Words, .. Remarks],
            LookAtClocks = pump.IsVirtual ? null : new ClockProbe().Look,
        };

    private long FreeBytes() => new DriveInfo(Path.GetFullPath(store)).AvailableFreeSpace;
}
