using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Reports;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator.Parameters;

namespace LoadTest;

internal static class Program
{
    public static string Version => typeof(Program).Assembly.GetName().Version!.ToString(3);

    private static int Main(string[] args)
    {
        var root = args[0];
        var profile = args[1];
        var files = RunFiles.Read(
            Path.Combine(root, profile),
            Path.Combine(root, "nameplates/demo-300.yaml"),
            Path.Combine(root, "benches/demo.yaml")
        );
        foreach (var finding in files.Findings)
            Console.WriteLine(finding);
        var pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
        using var stand = new SimulatedStand(files.Plan!.Bench, WorldFile.Demo(), pump, 1);
        using var folder = RunFolder.Create("runs", "demo-" + Environment.ProcessId);
        var closed = pump.Run(async () =>
        {
            await stand.UnlockAsync();
            using var journal = new JournalWriter(new VirtualStorage(folder.Journal, pump, 1));
            return await new RunSession(
                files,
                "demo",
                "INV-1",
                true,
                "",
                stand.Load,
                stand.Meters,
                new ScriptedOperator(stand.Hands, pump, "scripted operator", [8.8]),
                1L << 40
            )
            {
                Appended = e =>
                {
                    if (e is not Sequencer.Journal.Scanned && args.Length > 2)
                        Console.WriteLine(e);
                },
            }.RunAsync(pump, journal, CancellationToken.None);
        });
        Console.WriteLine(closed);
        var record = RunRecord.Of(JournalContents.Read(folder.Journal));
        File.WriteAllText(folder.Report, Report.Write(record, RunPlots.Of(record)));
        Console.WriteLine(record.Overall);
        foreach (var judged in record.Judged)
            Console.WriteLine(judged);
        Console.WriteLine(folder.Report);
        return 0;
    }
}
