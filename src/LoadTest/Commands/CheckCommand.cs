using System.CommandLine;
using System.Text.Json.Nodes;
using LoadTest.Instruments.Loads;
using LoadTest.Records;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>The verb <c>check</c>: everything there is to say about files a person edits.</summary>
internal static class CheckCommand
{
    public static Command Create()
    {
        var files = new Argument<string[]>("FILE")
        {
            Description = "Profiles, nameplates, benches, instrument definitions, in any mixture.",
            Arity = ArgumentArity.OneOrMore,
        };
        return Verb.Create(
            "check",
            "Checks files a person edits and says everything that is wrong with them, with line and column.",
            "loadtest check profiles/short-check.yaml profiles/benches/demo.yaml",
            [files],
            (parsed, screen) => Check(screen, parsed.GetRequiredValue(files))
        );
    }

    /// <summary>Checks every file, the bad ones included.</summary>
    /// <param name="screen">Where findings go.</param>
    /// <param name="files">Paths.</param>
    /// <param name="isQuiet">Whether sound files get no line of their own.</param>
    internal static ExitCode Check(Screen screen, IReadOnlyList<string> files, bool isQuiet = false)
    {
        var list = new JsonArray();
        screen.Document["files"] = list;
        var sound = 0;
        foreach (var file in files)
        {
            var isSound = Check(screen, file, isQuiet, out var kind);
            sound += isSound ? 1 : 0;
            list.Add(
                new JsonObject
                {
                    ["file"] = file,
                    ["kind"] = kind,
                    ["sound"] = isSound,
                }
            );
        }
        screen.Line(
            sound == files.Count
                ? $"{Count(files.Count)} checked, no errors."
                : $"{Count(files.Count)} checked, {files.Count - sound} with errors."
        );
        return sound == files.Count ? ExitCode.Pass : ExitCode.BadInput;
    }

    private static bool Check(Screen screen, string file, bool isQuiet, out string? kind)
    {
        kind = null;
        try
        {
            var bytes = RegularFile.Head(file, FileText.MostBytes);
            ReadOnlyMemory<byte>? Resolve(string name) =>
                ProfileFolder.Resolve(file, name) is { } path ? RegularFile.Head(path, FileText.MostBytes) : null;
            var found = AnyFile.Check(file, bytes, Resolve);
            kind = found.Kind?.ToString().ToLowerInvariant();
            screen.Findings(found.Findings);
            if (found.IsSound && !isQuiet)
                screen.Line(
                    $"{file}: {kind}, sound.{(found.Kind == FileKind.Bench ? OffWords(BenchReader.Read(file, bytes, Resolve).Value!) : "")}"
                );
            return found.IsSound;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            screen.Trouble(trouble.Message);
            return false;
        }
    }

    /// <summary>Within what time a removed load is confirmed off, on a bench whose bank is switched over a line.</summary>
    private static string OffWords(Bench bench)
    {
        var bank = bench.Instrument(bench.Bank.InstrumentId);
        return bank.Definition.Protocol == Protocol.ByHand
            ? ""
            : $" {bank.Id} is confirmed off within {OffWithin.Of(bank.Definition).TotalSeconds:0.0#} s of a removal, as long as it answers each request within nine tenths of its deadline, {bank.Definition.Deadline.TotalMilliseconds:0.#} ms.";
    }

    private static string Count(int files) => files == 1 ? "1 file" : $"{files} files";
}
