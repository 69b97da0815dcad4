using System.CommandLine;
using LoadTest.Records;
using LoadTest.Running;

namespace LoadTest.Commands;

/// <summary>The verb <c>report</c>: record, report, pictures and table of readings again, from the journal alone.</summary>
internal static class ReportCommand
{
    public static Command Create()
    {
        var run = CommonOptions.Run();
        return Verb.Create(
            "report",
            "Makes a run's report, pictures and table of readings again from its journal. A record that is there is left alone.",
            "loadtest report runs/demo-1",
            [run],
            (parsed, screen) => Write(screen, parsed.GetRequiredValue(run))
        );
    }

    private static ExitCode Write(Screen screen, string path)
    {
        using var folder = InputFiles.Guarded(() => RunFolder.Open(path));
        var record = RunDocuments.Write(folder, keepsRecord: true);
        if (record.Bad is { } bad)
            screen.Trouble($"{bad} The report covers what comes before it.");
        Results.Show(screen, record, folder);
        return Results.Exit(record);
    }
}
