using System.CommandLine;
using System.Text.Json.Nodes;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Records.Verifying;
using LoadTest.Running;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>The verb <c>verify</c>: two answers that are never mixed, whether the bytes hold and whether this build draws the same.</summary>
internal static class VerifyCommand
{
    /// <summary>What no check without a signature can say.</summary>
    internal const string Unsigned = "Unsigned: whoever can write these files can have made them.";

    public static Command Create()
    {
        var run = CommonOptions.Run();
        return Verb.Create(
            "verify",
            "Says whether the bytes of a run's journal hold, frame by frame and law by law, and whether this build draws the same record, report, readings and pictures from it. Needs the files and nothing else.",
            "loadtest verify runs/demo-1",
            [run],
            (parsed, screen) => Verify(screen, parsed.GetRequiredValue(run))
        );
    }

    private static ExitCode Verify(Screen screen, string path)
    {
        using var folder = InputFiles.Guarded(() => RunFolder.Open(path));
        var journal = JournalContents.Read(folder.Journal);
        var bytes = BytesAnswer.Of(journal);
        var stored = DrawnComparison.Stored(folder.Record);
        var concluded = stored is null ? null : DrawnComparison.VersionOf(stored);
        var (files, reason) = DrawnAgainFiles(folder, journal, concluded);
        var together = DrawnComparison.Together(files);
        var measured = (journal.Entries.FirstOrDefault() as RunOpened)?.ToolVersion;
        Say(screen, bytes);
        Say(screen, together, files, reason);
        Say(screen, "The run was measured", measured);
        Say(screen, "The record was made", concluded);
        screen.Line(Unsigned);
        Describe(screen.Document, bytes);
        Describe(screen.Document, together, files, reason);
        screen.Document["measured by"] = measured;
        screen.Document["concluded by"] = concluded;
        screen.Document["this build"] = RunDocuments.Build;
        screen.Document["signed"] = false;
        return !bytes.Hold ? ExitCode.RecordTrouble
            : together == Drawn.Same ? ExitCode.Pass
            : ExitCode.NotPassed;
    }

    private static (IReadOnlyList<DrawnAgain> Files, string? Reason) DrawnAgainFiles(
        RunFolder folder,
        JournalContents journal,
        string? version
    )
    {
        if (journal.Bad is not null || journal.Entries.FirstOrDefault() is not RunOpened)
            return ([], "the journal cannot be read to its end.");
        try
        {
            return (DrawnComparison.Of(folder, RunDocuments.Draw(journal, version).Files), null);
        }
        catch (Exception e) when (e is ArgumentException or ArithmeticException or InvalidOperationException)
        {
            // Good frames may still say impossible things: whoever can write the file can chain them.
            return ([], $"nothing can be drawn from this journal. {SentenceText.Of(e)}");
        }
    }

    private static void Say(Screen screen, BytesAnswer bytes)
    {
        if (bytes.Hold)
        {
            screen.Line($"The bytes hold: {bytes.Frames} frames, head {bytes.Head}.");
            return;
        }
        screen.Trouble($"The bytes do not hold. {string.Join(' ', bytes.Trouble)}");
    }

    private static void Say(Screen screen, Drawn together, IReadOnlyList<DrawnAgain> files, string? reason)
    {
        if (together == Drawn.Same)
        {
            screen.Line($"This build draws the same: {string.Join(", ", files.Select(f => f.Name))}.");
            return;
        }
        screen.Line(
            together == Drawn.Differs
                ? "This build draws something else. That alone does not say that anybody changed a file: another build may have drawn it."
                : $"Whether this build draws the same cannot be said{(reason is null ? "." : $": {reason}")}"
        );
        foreach (var file in files.Where(f => f.Answer != Drawn.Same))
            screen.Line(
                $"  {file.Name} {(file.Answer == Drawn.Differs ? "differs" : "cannot be compared")}: {string.Join("; ", file.Details)}"
            );
    }

    private static void Say(Screen screen, string what, string? version)
    {
        if (version is null || version == RunDocuments.Build)
            return;
        var age =
            Version.TryParse(version, out var theirs) && Version.TryParse(RunDocuments.Build, out var ours)
                ? theirs < ours
                    ? "an older build"
                    : "a newer build"
                : "another build";
        screen.Line($"{what} by {age}, {version}; this is {RunDocuments.Build}.");
    }

    private static void Describe(JsonObject document, BytesAnswer bytes) =>
        document["bytes"] = new JsonObject
        {
            ["hold"] = bytes.Hold,
            ["frames"] = bytes.Frames,
            ["head"] = bytes.Head,
            ["closed"] = bytes.IsClosed,
            ["bad frame"] = bytes.Bad is { } bad
                ? new JsonObject
                {
                    ["frame"] = bad.Number,
                    ["byte"] = bad.Offset,
                    ["cause"] = bad.Cause.ToString().ToLowerInvariant(),
                    ["words"] = bad.ToString(),
                }
                : null,
            ["broken laws"] = new JsonArray([
                .. bytes.Broken.Select(b =>
                    (JsonNode?)
                        new JsonObject
                        {
                            ["law"] = b.Law,
                            ["frame"] = b.Frame,
                            ["found"] = b.Found,
                        }
                ),
            ]),
        };

    private static void Describe(
        JsonObject document,
        Drawn together,
        IReadOnlyList<DrawnAgain> files,
        string? reason
    ) =>
        document["drawn again"] = new JsonObject
        {
            ["answer"] = Word(together),
            ["reason"] = reason,
            ["files"] = new JsonArray([
                .. files.Select(f =>
                    (JsonNode?)
                        new JsonObject
                        {
                            ["file"] = f.Name,
                            ["answer"] = Word(f.Answer),
                            ["details"] = new JsonArray([.. f.Details.Select(d => (JsonNode?)JsonValue.Create(d))]),
                        }
                ),
            ]),
        };

    private static string Word(Drawn answer) => answer.ToString().ToLowerInvariant();
}
