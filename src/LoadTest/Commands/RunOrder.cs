using System.Globalization;
using LoadTest.Reports;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Commands;

/// <summary>What a person ordered with the verb <c>run</c>, and how it is carried out.</summary>
/// <param name="screen">Where it is shown.</param>
internal sealed class RunOrder(Screen screen)
{
    private const string RealMark =
        "REAL BENCH: several hundred amperes. Stay at it, with its hard-wired stop in reach. \"Load off\" is never \"safe\": the studs are live until the engine has stopped and the voltage is measured.";

    private static readonly TimeOnly Morning = new(8, 0);

    public required string Profile { get; init; }
    public required string Nameplate { get; init; }
    public required string BenchFile { get; init; }
    public required string? SerialNumber { get; init; }
    public required bool IsScripted { get; init; }
    public required string? Name { get; init; }
    public required string[] ByHand { get; init; }
    public required string Store { get; init; }
    public required ulong Seed { get; init; }
    public required bool IsVirtual { get; init; }
    public required string? Date { get; init; }
    public required string? World { get; init; }
    public required string? WiresFile { get; init; }
    public required string? HandsAddress { get; init; }
    public required string? Secret { get; init; }
    public required string? SecretFile { get; init; }
    public required bool IsVerbose { get; init; }

    private Urgency? _urgency;

    private bool IsServed => WiresFile is not null || HandsAddress is not null;

    /// <summary>Reads, connects, proves, runs, shows.</summary>
    public ExitCode CarryOut()
    {
        var benchPath = InputFiles.Guarded(() => ProfileFolder.Find(BenchFile, "benches"));
        var files = InputFiles.Read(screen, Profile, Nameplate, benchPath);
        var bench = files.Plan!.Bench;
        var serialNumber = Serial(files.Plan.Nameplate);
        var pump = Pump();
        if (!IsServed && bench.Wired.All(i => i.Line is LineText.Simulated))
        {
            var world = InputFiles.World(bench, benchPath, World);
            using var embedded = new SimulatedStand(bench, world.World, pump, Seed);
            return Run(files.With(world), serialNumber, embedded, pump);
        }
        if (IsVirtual)
            throw new CommandEnded(
                ExitCode.BadInput,
                "--virtual-time: only the embedded simulated bench can be run in virtual time; this bench is on real wires."
            );
        if (IsReal(bench))
            DemandPerson();
        var wires = FindWires(bench);
        // Before lines are opened: the threads that read them have it too.
        _urgency = Urgency.Take();
        using var held = Refusing(() => BenchLock.Take(wires.Instruments.Values));
        using var served = Refusing(() => new WireStand(bench, wires, pump));
        return Run(files, serialNumber, served, pump);
    }

    private ExitCode Run(RunFiles files, string serialNumber, IStand stand, Pump pump)
    {
        Refusing(() =>
        {
            pump.Run(stand.ProveSimulatedAsync);
            return true;
        });
        // Before the first question to anybody: a run before this one may have left the load on.
        var start = BenchStart.Make(files.Plan!, stand, Store, pump);
        using var awake = stand.Hands is null ? SleepInhibitor.Take() : null;
        screen.Line(stand.Hands is null ? RealMark : $"{Report.SimulatedMark}.");
        foreach (var words in start.Words)
            screen.Line(words);
        var person = Person(stand, pump);
        using var signals = Refusing(() => new Signals(pump.IsVirtual));
        var id = $"{pump.GetUtcNow():yyyy-MM-dd-HHmmss}-{serialNumber}";
        var progress = new Progress(screen, files.Plan!, isShort: false, isSimulated: stand.Hands is not null);
        var host = new RunHost(files, RunStore.FreeId(Store, id), serialNumber, Store, pump, Seed)
        {
            IsVerbose = IsVerbose,
            Remarks = [.. new[] { _urgency?.Words, awake?.Words }.OfType<string>()],
            Appended = progress.Take,
            Guarded = removal =>
            {
                progress.Removal = removal;
                (person as TerminalOperator)?.Guard(removal);
            },
        };
        var (record, folder) = host.Run(stand, person, start, signals);
        Results.Show(screen, record, folder);
        if (!start.Off.IsOpen && record.Bank == BankEnd.NeverEnergised)
            screen.Line($"LOAD OFF NOT CONFIRMED. {OffWords.Instruction}");
        return Results.Exit(record);
    }

    /// <summary>Lines of its own, no simulator named on the command line, and no simulated world behind it.</summary>
    private bool IsReal(Bench bench) =>
        !IsServed && bench.World is null && bench.Instruments.All(i => i.Line is not LineText.Simulated);

    /// <summary>A real bench is run by a person who sits at it: no script, no file of answers, no date but today's.</summary>
    private void DemandPerson()
    {
        if (IsScripted)
            throw new CommandEnded(
                ExitCode.Refused,
                "--operator script: this bench is not proved simulated, and a script answers on no other. A person runs a real bench."
            );
        if (Date is not null || World is not null)
            throw new CommandEnded(
                ExitCode.BadInput,
                "--date and --world belong to simulated benches; this one is real."
            );
        if (Console.IsInputRedirected)
            throw new CommandEnded(
                ExitCode.Refused,
                "A real bench is run by a person at a terminal, and what is read here comes from elsewhere. Start it at a terminal, without a pipe or a file before it."
            );
    }

    private IOperator Person(IStand stand, Pump pump) =>
        IsScripted
            ? new ScriptedOperator(stand.Hands!, pump, "scripted operator", ByHand) { Thinking = Thinking(pump) }
            : new TerminalOperator(
                Console.In,
                screen.Prompt,
                pump,
                stand.Hands is { } hands ? new HandWork(hands, pump) : null,
                AskName()
            )
            {
                KeepsEarlyLines = Console.IsInputRedirected,
            };

    // A script that makes a person wait proves nothing; in virtual time nobody waits.
    private static TimeSpan Thinking(Pump pump) =>
        pump.IsVirtual ? TimeSpan.FromSeconds(1) : TimeSpan.FromMilliseconds(20);

    private string AskName()
    {
        if (!string.IsNullOrWhiteSpace(Name))
            return Name.Trim();
        screen.Prompt("Your name, for the record > ");
        return Console.In.ReadLine()?.Trim() is { Length: > 0 } name
            ? name
            : throw new CommandEnded(
                ExitCode.BadInput,
                "Cautions are acknowledged by name. Give yours, or --name NAME."
            );
    }

    private string Serial(Nameplate nameplate)
    {
        if (SerialNumber is { } given && nameplate.SerialNumber is { } known && given != known)
            throw new CommandEnded(
                ExitCode.BadInput,
                $"--serial {given}: {Nameplate} is of serial number {known}. Give the nameplate file of the unit on the bench."
            );
        return SerialNumber
            ?? nameplate.SerialNumber
            ?? throw new CommandEnded(
                ExitCode.BadInput,
                $"{Nameplate} is of a type and has no serial number. Give that of the unit: --serial NUMBER."
            );
    }

    private Pump Pump()
    {
        if (Date is null)
            return IsVirtual
                ? Sequencer.Engine.Pump.Virtual(TimeProvider.System.GetUtcNow())
                : Sequencer.Engine.Pump.Real();
        if (
            !DateOnly.TryParseExact(Date, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date)
        )
            throw new CommandEnded(ExitCode.BadInput, $"--date {Date}: write year, month and day as 2026-11-25.");
        var start = new DateTimeOffset(date, Morning, TimeSpan.Zero);
        return IsVirtual ? Sequencer.Engine.Pump.Virtual(start) : Sequencer.Engine.Pump.Paced(1, start);
    }

    private Wires FindWires(Bench bench)
    {
        try
        {
            if (WiresFile is { } file)
                return Wires.Parse(file, InputFiles.Text(file));
            if (IsReal(bench))
                return new Wires(bench.Wired.ToDictionary(i => i.Id, i => i.Line, StringComparer.Ordinal), null, null);
            if (HandsAddress is not { } hands || SecretText() is not { } secret)
                throw new CommandEnded(
                    ExitCode.Refused,
                    $"{bench.Name} belongs to a simulated world by its file, and is not proved simulated. Serve it with `loadtest simulate`, and give what that prints: --wires FILE, or --hands HOST:PORT and --secret HEX."
                );
            var lines = bench.Wired.ToDictionary(
                i => i.Id,
                i =>
                    i.Line is LineText.Simulated
                        ? throw new FormatException(
                            $"{i.Place}: {i.Id} has no address in the bench file; give --wires FILE."
                        )
                        : i.Line,
                StringComparer.Ordinal
            );
            return new Wires(lines, Wires.Address(hands), secret);
        }
        catch (FormatException trouble)
        {
            throw new CommandEnded(ExitCode.BadInput, trouble.Message);
        }
    }

    private string? SecretText() => SecretFile is { } file ? InputFiles.Text(file).Trim() : Secret;

    /// <summary>Connecting and proving: what fails there is refused at the gate, before anything is energised.</summary>
    private static T Refusing<T>(Func<T> connect)
    {
        try
        {
            return connect();
        }
        catch (IOException trouble)
        {
            throw new CommandEnded(ExitCode.Refused, trouble.Message);
        }
    }
}
