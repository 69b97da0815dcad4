using System.CommandLine;
using LoadTest.Reports;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>The verb <c>demo</c>: the whole job on the embedded simulated bench in virtual time.</summary>
internal static class DemoCommand
{
    /// <summary>Rotor resistance the script gives, Ω; invented, as everything in the demo.</summary>
    private const string RotorOhms = "8.8";

    // The scenario's own date: the same seed gives the same bytes on any day.
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    public static Command Create()
    {
        var (store, seed, verbose) = (CommonOptions.Out(), CommonOptions.Seed(), CommonOptions.Verbose());
        return Verb.Create(
            "demo",
            "Proves an invented rebuilt unit on the embedded simulated bench in virtual time: check, plan, gate, run, record, report.",
            "loadtest demo --out runs --seed 1",
            [store, seed, verbose],
            (parsed, screen) =>
                Demonstrate(screen, parsed.GetRequiredValue(store), parsed.GetValue(seed), parsed.GetValue(verbose))
        );
    }

    private static ExitCode Demonstrate(Screen screen, string store, ulong seed, bool isVerbose)
    {
        screen.Line($"{Report.SimulatedMark}.");
        Check(screen);
        var bench = ProfileFolder.Find("demo.yaml", "benches");
        var read = InputFiles.Read(screen, "output-verification.yaml", "demo-300.yaml", bench);
        var plan = read.Plan!;
        var world = InputFiles.World(plan.Bench, bench, null);
        ShowPlan(screen, plan);
        screen.Line();
        screen.Line("Run, a script answering:");
        var pump = Pump.Virtual(Start);
        using var stand = new SimulatedStand(plan.Bench, world.World, pump, seed);
        pump.Run(stand.ProveSimulatedAsync);
        var start = BenchStart.Make(plan, stand, store, pump);
        var host = new RunHost(
            read.With(world),
            RunStore.FreeId(store, "demo"),
            plan.Nameplate.SerialNumber!,
            store,
            pump,
            seed
        )
        {
            IsVerbose = isVerbose,
            Appended = new Progress(screen, plan, isShort: true).Take,
        };
        using var signals = new Signals(pump.IsVirtual);
        var person = new ScriptedOperator(stand.Hands, pump, "scripted operator", [RotorOhms]);
        var (record, folder) = host.Run(stand, person, start, signals);
        Results.Show(screen, record, folder);
        return Results.Exit(record);
    }

    private static void Check(Screen screen)
    {
        var files = Directory
            .GetFiles(ProfileFolder.Shipped, "*.yaml", SearchOption.AllDirectories)
            .Order(StringComparer.Ordinal)
            .ToArray();
        if (CheckCommand.Check(screen, files, isQuiet: true) != ExitCode.Pass)
            throw new CommandEnded(ExitCode.BadInput, $"The files in {ProfileFolder.Shipped} are not as shipped.");
    }

    private static void ShowPlan(Screen screen, RunPlan plan)
    {
        screen.Line();
        screen.Line(
            $"Plan: {plan.Profile.Name}, revision {plan.Profile.Revision}, for {plan.Nameplate.Name} serial number {plan.Nameplate.SerialNumber} on {plan.Bench.Name}"
        );
        screen.Table(PlanSummary.Of(plan));
        screen.Table(PlanTable.Totals(plan));
    }
}
