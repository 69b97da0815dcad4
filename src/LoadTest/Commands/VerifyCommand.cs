using System.CommandLine;
using System.Text.Json.Nodes;
using LoadTest.Records;
using LoadTest.Records.Verifying;

namespace LoadTest.Commands;

/// <summary>The verb <c>verify</c>: whether journal and record of a run still hold.</summary>
internal static class VerifyCommand
{
    public static Command Create()
    {
        var run = CommonOptions.Run();
        return Verb.Create(
            "verify",
            "Checks the chain of a run's journal frame by frame, draws its record again and compares. Needs the files and nothing else.",
            "loadtest verify runs/demo-1",
            [run],
            (parsed, screen) => Verify(screen, parsed.GetRequiredValue(run))
        );
    }

    private static ExitCode Verify(Screen screen, string path)
    {
        using var folder = InputFiles.Guarded(() => RunFolder.Open(path));
        var found = Verifier.Verify(folder);
        screen.Document["holds"] = found.Holds;
        screen.Document["frames"] = found.Frames;
        screen.Document["head"] = found.Head;
        screen.Document["closed"] = found.IsClosed;
        screen.Document["bad"] = found.Bad?.ToString();
        screen.Document["record"] = found.Record.ToString();
        screen.Document["differences"] = new JsonArray([
            .. found.Differences.Select(d => (JsonNode?)JsonValue.Create(d)),
        ]);
        screen.Document["words"] = found.Words;
        if (!found.Holds)
            throw new CommandEnded(ExitCode.RecordTrouble, found.Words);
        screen.Line(found.Words);
        return ExitCode.Pass;
    }
}
